// The ReadingMemory of a machine from one intake to the next: `.git/keepway/readings`.
//
// Readings are worth something only to the very program that made them: another build's readers may read
// otherwise. So they are bound to the build id that the linker gave this one, to the layout and to the
// machine's serial and units; where the program has no build id, nothing is remembered.
#pragma once

#include <optional>
#include <string>

#include "keepway/reader.hpp"
#include "keepway/store.hpp"

namespace keepway {

class Readings {
 public:
  Readings(const store::Repository& repository, const std::string& layout_text, const ReadContext& context);
  // What the last intake read; an empty one where nothing is remembered.
  [[nodiscard]] ReadingMemory recall() const;
  // Does nothing where it is remembered already. Never fails.
  void remember(const ReadingMemory& memory) const noexcept;
  // Whether what is remembered is whole, and says of these files what reading them says. True for what
  // another build, layout or context left: nobody asks for it.
  [[nodiscard]] bool sound(const Layout& layout, const ReadContext& context,
                           const std::vector<OriginalView>& files) const;
  void forget() const noexcept;

 private:
  const store::Repository& repository_;
  std::optional<Sha256> reader_;
};

}  // namespace keepway
