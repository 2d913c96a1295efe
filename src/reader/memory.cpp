#include "reader/memory.hpp"

#include <algorithm>
#include <cstring>

#include "base/bytes.hpp"

namespace keepway {
namespace {

// A memory as bytes: mark, what the readings depend on, then name, sum and output of each file, and sum and
// output of what it was, both empty where that is not held.
constexpr std::string_view mark = "kwread4\n";
constexpr std::size_t most_bytes = std::size_t{64} << 20U;

template <typename Number>
void put_raw(std::string& out, const Number& number) {
  out.append(reinterpret_cast<const char*>(&number), sizeof number);
}

Sha256 take_sum(TakeBytes& take) {
  Sha256 sum{};
  const std::string_view bytes = take.bytes(sum.size());
  std::memcpy(sum.data(), bytes.data(), bytes.size());
  return sum;
}

}  // namespace

ReadingMemory::ReadingMemory() : impl_(std::make_unique<Impl>()) {}
ReadingMemory::ReadingMemory(ReadingMemory&&) noexcept = default;
ReadingMemory& ReadingMemory::operator=(ReadingMemory&&) noexcept = default;
ReadingMemory::~ReadingMemory() = default;

void ReadingMemory::Impl::begin() {
  ++reads;
  changed = false;
  for (auto& [name, file] : files) file.was.reset();
}

std::optional<reader::FileOutput> ReadingMemory::Impl::find(const OriginalView& file, std::uint32_t place) {
  const auto found = file.sum ? files.find(file.name) : files.end();
  if (found == files.end() || found->second.sum != *file.sum || found->second.output.empty())
    return std::nullopt;
  File& held = found->second;
  held.met = reads;
  if (held.found && held.place == place) return *held.found;
  auto output = reader::read_output(held.output, place);
  if (output && loaded.empty()) {
    held.found = std::make_shared<const reader::FileOutput>(*output);
    held.place = place;
  }
  return output;
}

const ReadingMemory::Impl::Held* ReadingMemory::Impl::held(const OriginalView& file) const {
  const auto found = files.find(file.name);
  if (found == files.end()) return nullptr;
  const Held* one = &found->second;
  if (one->sum != file.sum) one = found->second.was.get();
  return one == nullptr || one->sum != file.sum || one->output.empty() ? nullptr : one;
}

void ReadingMemory::Impl::keep(const OriginalView& file, const reader::FileOutput& output) {
  if (!file.sum) return;
  const auto [place, fresh] = files.try_emplace(std::string(file.name));
  File& held = place->second;
  bytes -= held.output.size();
  // Within a pile, one that is new or came otherwise than before may well come otherwise again: its output is
  // kept once it comes the same. From one process to the next that of each file is kept, since the spelling
  // of the next backup's is compared with it; but a first intake of thousands of files writes none.
  const bool again =
      came_before ? !loaded.empty() || came_before(*file.sum) : !fresh && held.sum == *file.sum;
  const bool kept = again && file.bytes.size() < most_bytes;
  changed = changed || !came_before || kept || !held.output.empty();
  if (came_before && !held.output.empty()) {
    held.was = std::make_unique<Held>();
    held.was->sum = held.sum;
    const bool own = !held.own.empty();
    held.was->output = held.output;
    held.was->own = std::move(held.own);
    if (own) held.was->output = held.was->own;
  }
  held.found.reset();
  held.sum = *file.sum;
  held.own = kept ? reader::write_output(output) : std::string();
  held.output = held.own;
  held.met = reads;
  bytes += held.output.size();
  if (bytes <= most_bytes) return;
  bytes -= held.output.size();
  files.erase(place);
}

void ReadingMemory::came_before(std::function<bool(const Sha256&)> came) {
  impl_->came_before = std::move(came);
}

bool ReadingMemory::changed() const {
  return impl_->changed;
}

std::string ReadingMemory::write(const Sha256& reader) const {
  std::string out(mark);
  put_raw(out, reader);
  for (const auto& [name, file] : impl_->files) {
    if (file.met != impl_->reads || (impl_->came_before && file.output.empty())) continue;
    put_text(out, name);
    put_raw(out, file.sum);
    put_text(out, file.output);
    const bool was = file.was && out.size() + file.was->output.size() < most_bytes;
    put_raw(out, was ? file.was->sum : Sha256{});
    put_text(out, was ? file.was->output : std::string_view());
  }
  return out;
}

std::optional<ReadingMemory> ReadingMemory::read(std::string bytes, const Sha256& reader) {
  if (!bytes.starts_with(mark)) return std::nullopt;
  ReadingMemory memory;
  Impl& impl = *memory.impl_;
  impl.loaded = std::move(bytes);
  TakeBytes take(std::string_view(impl.loaded).substr(mark.size()));
  if (take_sum(take) != reader) return std::nullopt;
  while (!take.rest().empty()) {
    const std::string_view name = take.text();
    Impl::File file;
    file.sum = take_sum(take);
    file.output = take.text();
    Impl::Held was;
    was.sum = take_sum(take);
    was.output = take.text();
    if (!take.sound()) return std::nullopt;
    if (!was.output.empty()) file.was = std::make_unique<Impl::Held>(std::move(was));
    impl.bytes += file.output.size();
    impl.files.insert_or_assign(impl.files.end(), std::string(name), std::move(file));
  }
  return memory;
}

bool ReadingMemory::agrees(const Layout& layout, const ReadContext& context,
                           const std::vector<OriginalView>& files) const {
  return std::all_of(files.begin(), files.end(), [&](const OriginalView& file) {
    const Impl::Held* held = impl_->held(file);
    if (held == nullptr) return true;
    reader::FileOutput output;
    reader::read_file(layout, context, file, 0, output);
    return reader::write_output(output) == held->output;
  });
}

}  // namespace keepway
