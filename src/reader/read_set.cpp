#include "reader/read_set.hpp"

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
                 ReadingMemory* memory, const std::vector<Sha256>& sums) {
  return read_backup(layout, context, views_of(set, sums), memory);
}

}  // namespace keepway
