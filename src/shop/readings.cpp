#include "shop/readings.hpp"

#include <elf.h>
#include <link.h>

#include <algorithm>
#include <string_view>

namespace keepway {
namespace {

constexpr const char* file_name = "readings";

// The build id's bytes in a segment of notes, as the generic ABI lays them out: sizes of name and
// description, the type, then both in fours of bytes.
std::string_view build_id_in(std::string_view notes) {
  const auto padded = [](std::size_t size) { return (size + 3) / 4 * 4; };
  while (notes.size() >= sizeof(ElfW(Nhdr))) {
    const auto* note = reinterpret_cast<const ElfW(Nhdr)*>(notes.data());
    notes.remove_prefix(sizeof *note);
    const std::size_t name_room = padded(note->n_namesz);
    if (name_room > notes.size() || note->n_descsz > notes.size() - name_room) break;
    if (note->n_type == NT_GNU_BUILD_ID && notes.substr(0, note->n_namesz) == std::string_view("GNU\0", 4))
      return notes.substr(name_room, note->n_descsz);
    notes.remove_prefix(std::min(name_room + padded(note->n_descsz), notes.size()));
  }
  return {};
}

// Of the program that runs; empty when it was linked without.
std::string build_id() {
  std::string found;
  const auto look = [](struct dl_phdr_info* program, std::size_t, void* out) {
    for (int i = 0; i < program->dlpi_phnum; ++i) {
      const ElfW(Phdr)& part = program->dlpi_phdr[i];
      if (part.p_type != PT_NOTE) continue;
      // NOLINTNEXTLINE(performance-no-int-to-ptr): the loader tells addresses as numbers
      const auto* notes = reinterpret_cast<const char*>(program->dlpi_addr + part.p_vaddr);
      const std::string_view id = build_id_in({notes, part.p_memsz});
      if (!id.empty()) *static_cast<std::string*>(out) = id;
    }
    return 1;  // the program itself comes first; what it loaded reads nothing
  };
  dl_iterate_phdr(look, &found);
  return found;
}

std::optional<Sha256> reader_of(const std::string& layout_text, const ReadContext& context) {
  const std::string build = build_id();
  if (build.empty()) return std::nullopt;
  std::string all;
  for (const std::string_view part : {std::string_view(build), std::string_view(layout_text),
                                      std::string_view(context.serial), units_name(context.units)}) {
    all += std::to_string(part.size());
    all += ':';
    all += part;
  }
  return sha256(all);
}

}  // namespace

Readings::Readings(const store::Repository& repository, const std::string& layout_text,
                   const ReadContext& context)
    : repository_(repository), reader_(reader_of(layout_text, context)) {}

ReadingMemory Readings::recall() const {
  auto bytes = reader_ ? repository_.recall(file_name) : std::nullopt;
  auto memory = bytes ? ReadingMemory::read(std::move(*bytes), *reader_) : std::nullopt;
  return memory ? std::move(*memory) : ReadingMemory();
}

void Readings::remember(const ReadingMemory& memory) const noexcept {
  if (!reader_ || !memory.changed()) return;
  try {
    repository_.remember(file_name, memory.write(*reader_));
  } catch (...) {  // NOLINT(bugprone-empty-catch): the next intake reads all, then
  }
}

bool Readings::sound(const Layout& layout, const ReadContext& context,
                     const std::vector<OriginalView>& files) const {
  const auto bytes = repository_.recall(file_name);
  if (!bytes) return true;
  if (!ReadingMemory::whole(*bytes)) return false;
  const auto memory = reader_ ? ReadingMemory::read(*bytes, *reader_) : std::nullopt;
  return !memory || memory->agrees(layout, context, files);
}

void Readings::forget() const noexcept {
  repository_.forget(file_name);
}

}  // namespace keepway
