#include "shop/readings.hpp"

#include "base/bytes.hpp"
#include "base/cache.hpp"

namespace keepway {
namespace {

constexpr const char* readings_name = "readings";

Sha256 reader_of(const std::string& layout_text, const ReadContext& context) {
  std::string all;
  put_number(all, static_cast<std::uint64_t>(reader_version));
  put_text(all, layout_text);
  put_text(all, context.serial);
  put_text(all, units_name(context.units));
  return sha256(all);
}

}  // namespace

Readings::Readings(const store::Repository& repository, const std::string& layout_text,
                   const ReadContext& context)
    : repository_(repository), reader_(reader_of(layout_text, context)) {}

ReadingMemory Readings::get() const {
  auto bytes = Cache(repository_.git_folder()).get(readings_name);
  auto memory = bytes ? ReadingMemory::read(std::move(*bytes), reader_) : std::nullopt;
  return memory ? std::move(*memory) : ReadingMemory();
}

void Readings::put(const ReadingMemory& memory) const noexcept {
  if (!memory.changed()) return;
  try {
    Cache(repository_.git_folder()).put(readings_name, memory.write(reader_));
  } catch (...) {  // NOLINT(bugprone-empty-catch): the next intake reads all, then
  }
}

bool Readings::verify(const Layout& layout, const ReadContext& context,
                      const std::vector<OriginalView>& files) const {
  const Cache cache(repository_.git_folder());
  return cache.verify(readings_name) && get().agrees(layout, context, files);
}

void Readings::drop() const noexcept {
  Cache(repository_.git_folder()).drop(readings_name);
}

}  // namespace keepway
