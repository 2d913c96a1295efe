// The ReadingMemory of a machine from one intake to the next, in the cache (base/cache.hpp). Bound to the
// version of the readers, to the layout and to the machine's serial and units.
#pragma once

#include <string>

#include "keepway/reader.hpp"
#include "keepway/store.hpp"

namespace keepway {

class Readings {
 public:
  Readings(const store::Repository& repository, const std::string& layout_text, const ReadContext& context);
  // What the last intake read, and what the files that had changed read before; an empty one where there is
  // nothing, or of other readers.
  [[nodiscard]] ReadingMemory get() const;
  // Does nothing where it is there already. Never fails.
  void put(const ReadingMemory& memory) const noexcept;
  // Whether what is cached is whole, and says of these files what reading them says.
  [[nodiscard]] bool verify(const Layout& layout, const ReadContext& context,
                            const std::vector<OriginalView>& files) const;
  void drop() const noexcept;

 private:
  const store::Repository& repository_;
  Sha256 reader_;
};

}  // namespace keepway
