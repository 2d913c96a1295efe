#include "reader/read_set.hpp"

#include <utility>

#include "reader/memory.hpp"

namespace keepway {

std::vector<OriginalView> views_of(const media::Set& set, const std::vector<Sha256>& sums) {
  std::vector<OriginalView> views;
  views.reserve(set.files.size());
  for (const media::File& file : set.files) {
    OriginalView& view = views.emplace_back(OriginalView{file.name, file.bytes});
    if (views.size() <= sums.size()) view.sum = sums[views.size() - 1];
  }
  return views;
}

Reading read_set(const media::Set& set, const Layout& layout, const ReadContext& context,
                 ReadingMemory* memory, const std::vector<Sha256>& sums, const OnProgress& on_progress) {
  return read_backup(layout, context, views_of(set, sums), memory, on_progress);
}

Reading read_beside(const media::Set& set, const Layout& layout, const ReadContext& context,
                    ReadingMemory& memory) {
  const std::vector<OriginalView> views = views_of(set, {});
  std::vector<reader::FileOutput> outputs(views.size());
  for (std::size_t i = 0; i < views.size(); ++i) {
    const auto place = static_cast<std::uint32_t>(i);
    const auto* held = memory.impl().held({views[i].name, views[i].bytes, sha256(views[i].bytes)});
    auto output = held != nullptr ? reader::read_output(held->output, place) : std::nullopt;
    if (output) {
      outputs[i] = std::move(*output);
    } else {
      reader::read_file(layout, context, views[i], place, outputs[i]);
    }
  }
  return reader::join(layout, std::move(outputs), views);
}

}  // namespace keepway
