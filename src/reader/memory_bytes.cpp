// A file's output as bytes: numbers in sevens of bits, the lowest first, texts behind their length.
#include <utility>

#include "reader/memory.hpp"

namespace keepway::reader {
namespace {

class Put {
 public:
  void number(std::uint64_t value) {
    for (; value >= 0x80; value >>= 7U) out_ += static_cast<char>(value | 0x80U);
    out_ += static_cast<char>(value);
  }
  template <typename Enum>
  void kind(Enum value) {
    out_ += static_cast<char>(value);
  }
  void flag(bool value) { out_ += value ? '\1' : '\0'; }
  void text(std::string_view text) {
    number(text.size());
    out_ += text;
  }
  void span(const Span& span) {
    number(span.at);
    number(span.length);
    number(span.line);
  }
  void oddity(const Oddity& oddity) {
    kind(oddity.kind);
    text(oddity.place.file);
    number(oddity.place.line ? *oddity.place.line + 1 : 0);
    number(oddity.place.byte ? *oddity.place.byte + 1 : 0);
    text(oddity.detail);
    kind(oddity.group);
  }
  void item(const RawItem& item) {
    kind(item.group);
    text(item.key);
    text(item.value);
    span(item.span);
    kind(item.kind);
  }
  void unread(const Unread& row) {
    kind(row.group);
    text(row.text);
    span(row.span);
  }
  void program(const RawProgram& program) {
    const ProgramFacts& facts = program.facts;
    text(program.text);
    text(facts.name);
    span(facts.span);
    number(facts.source);
    flag(facts.numbered);
    flag(facts.ended);
    each(facts.calls, [this](const std::string& call) { text(call); });
    each(facts.call_spans, [this](const Span& call) { span(call); });
    each(facts.calls_without_count, [this](const std::string& call) { text(call); });
  }
  template <typename List, typename One>
  void each(const List& list, One one) {
    number(list.size());
    for (const auto& element : list) one(element);
  }
  std::string take() { return std::move(out_); }

 private:
  std::string out_;
};

// What is wrong once stays wrong: `sound()` is asked at the end.
class Take {
 public:
  Take(std::string_view bytes, std::uint32_t file) : rest_(bytes), file_(file) {}
  [[nodiscard]] bool sound() const { return sound_ && rest_.empty(); }

  std::uint64_t number() {
    std::uint64_t value = 0;
    for (unsigned shift = 0; shift < 64; shift += 7) {
      const std::uint8_t byte = this->byte();
      value |= static_cast<std::uint64_t>(byte & 0x7fU) << shift;
      if (byte < 0x80) return value;
    }
    sound_ = false;
    return 0;
  }
  template <typename Enum>
  Enum kind(Enum last) {
    const std::uint8_t value = byte();
    sound_ = sound_ && value <= static_cast<std::uint8_t>(last);
    return sound_ ? static_cast<Enum>(value) : Enum{};
  }
  bool flag() { return byte() != 0; }
  std::string text() {
    const std::uint64_t size = number();
    sound_ = sound_ && size <= rest_.size();
    if (!sound_) return {};
    std::string out(rest_.substr(0, static_cast<std::size_t>(size)));
    rest_.remove_prefix(out.size());
    return out;
  }
  std::uint32_t index() {
    const std::uint64_t value = number();
    sound_ = sound_ && value <= UINT32_MAX;
    return static_cast<std::uint32_t>(value);
  }
  Span span() {
    const std::uint64_t at = number();
    const std::uint64_t length = number();
    return {file_, at, length, number()};
  }
  std::optional<std::uint64_t> place() {
    const std::uint64_t value = number();
    return value == 0 ? std::nullopt : std::optional(value - 1);
  }
  Oddity oddity() {
    Oddity out;
    out.kind = kind(OddityKind::number_from_name);
    out.place.file = text();
    out.place.line = place();
    out.place.byte = place();
    out.detail = text();
    out.group = kind(Group::programs);
    return out;
  }
  RawItem item() {
    RawItem out;
    out.group = kind(Group::programs);
    out.key = text();
    out.value = text();
    out.span = span();
    out.kind = kind(FieldKind::text);
    return out;
  }
  Unread unread() {
    Unread out;
    out.group = kind(Group::programs);
    out.text = text();
    out.span = span();
    return out;
  }
  RawProgram program() {
    RawProgram out;
    ProgramFacts& facts = out.facts;
    out.text = text();
    facts.name = text();
    facts.span = span();
    facts.source = index();
    facts.numbered = flag();
    facts.ended = flag();
    each(facts.calls, [this] { return text(); });
    each(facts.call_spans, [this] { return span(); });
    each(facts.calls_without_count, [this] { return text(); });
    sound_ = sound_ && facts.call_spans.size() == facts.calls.size() &&
             facts.calls_without_count.size() == facts.calls.size();
    return out;
  }
  // Each element takes a byte at least, so no length can ask for more than there is.
  template <typename List, typename One>
  void each(List& list, One one) {
    const std::uint64_t count = number();
    sound_ = sound_ && count <= rest_.size();
    if (!sound_) return;
    list.reserve(static_cast<std::size_t>(count));
    for (std::uint64_t i = 0; i < count && sound_; ++i) list.push_back(one());
  }

 private:
  std::uint8_t byte() {
    sound_ = sound_ && !rest_.empty();
    if (!sound_) return 0;
    const auto value = static_cast<std::uint8_t>(rest_.front());
    rest_.remove_prefix(1);
    return value;
  }
  std::string_view rest_;
  std::uint32_t file_;
  bool sound_ = true;
};

}  // namespace

std::string write_output(const FileOutput& output) {
  Put put;
  put.number(output.facts.source);
  put.flag(output.facts.wrong_serial);
  put.flag(output.facts.parity);
  put.number(output.facts.items);
  put.each(output.oddities, [&](const Oddity& oddity) { put.oddity(oddity); });
  put.each(output.parts, [&](const FileOutput::Read& part) {
    put.number(part.source);
    put.each(part.output.items, [&](const RawItem& item) { put.item(item); });
    put.each(part.output.programs, [&](const RawProgram& program) { put.program(program); });
    put.each(part.output.unread, [&](const Unread& row) { put.unread(row); });
    put.each(part.output.oddities, [&](const Oddity& oddity) { put.oddity(oddity); });
  });
  return put.take();
}

std::optional<FileOutput> read_output(std::string_view bytes, std::uint32_t file) {
  Take take(bytes, file);
  FileOutput output;
  output.facts.source = take.index();
  output.facts.wrong_serial = take.flag();
  output.facts.parity = take.flag();
  output.facts.items = static_cast<std::size_t>(take.number());
  take.each(output.oddities, [&] { return take.oddity(); });
  take.each(output.parts, [&] {
    FileOutput::Read part;
    part.source = take.index();
    take.each(part.output.items, [&] { return take.item(); });
    take.each(part.output.programs, [&] { return take.program(); });
    take.each(part.output.unread, [&] { return take.unread(); });
    take.each(part.output.oddities, [&] { return take.oddity(); });
    return part;
  });
  return take.sound() ? std::optional(std::move(output)) : std::nullopt;
}

}  // namespace keepway::reader
