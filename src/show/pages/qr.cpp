#include <fmt/format.h>
#include <qrencode.h>

#include <algorithm>
#include <memory>

#include "keepway/sheet.hpp"
#include "show/pages/html_text.hpp"

namespace keepway::show {

std::string qr_svg(const std::string& text, const std::string& title) {
  constexpr int quiet = 4;
  const std::unique_ptr<QRcode, decltype(&QRcode_free)> code(
      QRcode_encodeData(static_cast<int>(text.size()), reinterpret_cast<const unsigned char*>(text.data()), 0,
                        QR_ECLEVEL_M),
      &QRcode_free);
  if (!code) {
    throw Error(ErrorKind::store, "the QR code cannot be made",
                "make sure that libqrencode is installed (on Debian: libqrencode4); if it is, report a fault "
                "in keepway");
  }
  // One path, a run of dark modules a stroke.
  std::string path;
  for (int y = 0; y < code->width; ++y) {
    const unsigned char* row = code->data + static_cast<std::ptrdiff_t>(y) * code->width;
    for (int x = 0; x < code->width;) {
      int end = x;
      while (end < code->width && (row[end] & 1U) != 0) ++end;
      if (end > x) path += fmt::format("M{} {}h{}v1h-{}z", x + quiet, y + quiet, end - x, end - x);
      x = std::max(end, x + 1);
    }
  }
  const int size = code->width + 2 * quiet;
  return fmt::format(
      "<svg class=\"qr\" role=\"img\" aria-label=\"{0}\" viewBox=\"0 0 {1} {1}\" "
      "shape-rendering=\"crispEdges\"><path "
      "fill=\"#fff\" d=\"M0 0h{1}v{1}h-{1}z\"/><path d=\"{2}\"/></svg>",
      pages::html_text(title), size, path);
}

}  // namespace keepway::show
