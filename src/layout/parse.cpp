// A layout file, whole: its head and its sources in the order in which they are tried.
#include <fmt/format.h>

#include <array>
#include <utility>

#include "keepway/layout.hpp"
#include "layout/form.hpp"
#include "layout/source.hpp"
#include "layout/steps.hpp"

namespace keepway {
namespace {

constexpr std::array<std::pair<ReaderKind, std::string_view>, 5> readers = {{
    {ReaderKind::blocks, "blocks"},
    {ReaderKind::words, "words"},
    {ReaderKind::assign, "assign"},
    {ReaderKind::columns, "columns"},
    {ReaderKind::sections, "sections"},
}};

constexpr std::size_t max_layout_bytes = 1 << 20;
constexpr std::size_t max_sources = 1000;

std::string stem(const std::string& file) {
  std::string name = file.substr(file.rfind('/') + 1);  // npos + 1 is 0
  if (const std::size_t dot = name.rfind('.'); dot != std::string::npos && dot > 0) name.resize(dot);
  return name;
}

toml::table read_toml(std::string_view text, const std::string& file) {
  if (text.size() > max_layout_bytes) {
    throw Error(ErrorKind::input, "the layout is longer than 1 MiB",
                "a layout is a page or two; check the file", Place{file});
  }
  try {
    return toml::parse(text);
  } catch (const toml::parse_error& error) {
    throw Error(ErrorKind::input, fmt::format("the layout is not TOML: {}", escape(error.description())),
                "fix this line; 'keepway help layout' shows a whole layout",
                Place{file, error.source().begin.line});
  }
}

}  // namespace

std::string_view reader_name(ReaderKind kind) {
  for (const auto& [reader, name] : readers) {
    if (reader == kind) return name;
  }
  return {};
}

Layout parse_layout(std::string_view toml, const std::string& file) {
  const toml::table root = read_toml(toml, file);
  layout::Form form(root, file, "the layout");
  const std::optional<std::size_t> version = form.count("layout", 1'000'000);
  if (version != std::size_t{1}) {
    form.fail("layout", version ? "this form of layout is not known" : "the layout does not give its form",
              "write layout = 1");
  }
  Layout out;
  out.name = stem(file);
  out.title = form.text("title").value_or(out.name);
  if (const auto units = form.text("units")) {
    out.units = parse_units(*units);
    if (!out.units) form.fail("units", fmt::format("'{}' is not a unit", escape(*units)), "write inch or mm");
  }
  const toml::array* sources = form.tables("source");
  (void)layout::parse_steps(form);  // only whether they are right: see keepway/steps.hpp
  form.finish();
  if (sources == nullptr || sources->empty()) {
    form.fail("source", "the layout has no source", "add one [[source]] for each kind of file");
  }
  if (sources->size() > max_sources) {
    form.fail("source", "the layout has more than 1000 sources", "give one source several patterns in files");
  }
  for (const toml::node& source : *sources)
    out.sources.push_back(layout::parse_source(*source.as_table(), file));
  return out;
}

}  // namespace keepway
