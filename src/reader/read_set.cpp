#include "reader/read_set.hpp"

namespace keepway {

Reading read_set(const media::Set& set, const Layout& layout, const ReadContext& context,
                 ReadingMemory* memory) {
  std::vector<OriginalView> views;
  views.reserve(set.files.size());
  for (const media::File& file : set.files) views.push_back({file.name, file.bytes});
  return read_backup(layout, context, views, memory);
}

}  // namespace keepway
