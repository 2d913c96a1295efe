// A file's output as bytes (state/bytes.hpp).
#include <utility>

#include "base/bytes.hpp"
#include "reader/memory.hpp"

namespace keepway::reader {
namespace {

class Put {
 public:
  void number(std::uint64_t value) { put_number(out_, value); }
  template <typename Enum>
  void kind(Enum value) {
    out_ += static_cast<char>(value);
  }
  void flag(bool value) { out_ += value ? '\1' : '\0'; }
  void text(std::string_view text) { put_text(out_, text); }
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
    kind(item.from);
  }
  void unread(const Unread& row) {
    kind(row.group);
    text(row.text);
    span(row.span);
  }
  void overruled(const Overruled& value) {
    kind(value.group);
    text(value.key);
    text(value.value);
    span(value.span);
    span(value.by);
  }
  void program(const RawProgram& program) {
    const ProgramFacts& facts = program.facts;
    text(program.text);
    text(facts.name);
    span(facts.span);
    number(facts.source);
    flag(facts.numbered);
    flag(facts.by_file);
    flag(facts.ended);
    each(facts.calls, [this](const std::string& call) { text(call); });
    each(facts.call_spans, [this](const Span& call) { span(call); });
    each(facts.calls_without_count, [this](const std::string& call) { text(call); });
    number(facts.unread);
    each(facts.unread_spans, [this](const Span& line) { span(line); });
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

// What is wrong once stays wrong: `whole()` is asked at the end.
class Take : public TakeBytes {
 public:
  Take(std::string_view bytes, std::uint32_t file) : TakeBytes(bytes), file_(file) {}
  [[nodiscard]] bool whole() const { return sound() && rest().empty(); }

  template <typename Enum>
  Enum kind(Enum last) {
    const std::uint8_t value = byte();
    expect(value <= static_cast<std::uint8_t>(last));
    return sound() ? static_cast<Enum>(value) : Enum{};
  }
  bool flag() { return byte() != 0; }
  std::string text() { return std::string(TakeBytes::text()); }
  std::uint32_t index() {
    const std::uint64_t value = number();
    expect(value <= UINT32_MAX);
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
    out.kind = kind(OddityKind::clashing_rows);
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
    out.from = byte();
    return out;
  }
  Unread unread() {
    Unread out;
    out.group = kind(Group::programs);
    out.text = text();
    out.span = span();
    return out;
  }
  Overruled overruled() {
    Overruled out;
    out.group = kind(Group::programs);
    out.key = text();
    out.value = text();
    out.span = span();
    out.by = span();
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
    facts.by_file = flag();
    facts.ended = flag();
    each(facts.calls, [this] { return text(); });
    each(facts.call_spans, [this] { return span(); });
    each(facts.calls_without_count, [this] { return text(); });
    facts.unread = static_cast<std::size_t>(number());
    each(facts.unread_spans, [this] { return span(); });
    expect(facts.call_spans.size() == facts.calls.size() &&
           facts.calls_without_count.size() == facts.calls.size());
    return out;
  }
  // Each element takes a byte at least, so no length can ask for more than there is.
  template <typename List, typename One>
  void each(List& list, One one) {
    const std::uint64_t count = number();
    expect(count <= rest().size());
    if (!sound()) return;
    list.reserve(static_cast<std::size_t>(count));
    for (std::uint64_t i = 0; i < count && sound(); ++i) list.push_back(one());
  }

 private:
  std::uint32_t file_;
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
    put.each(part.output.overruled, [&](const Overruled& value) { put.overruled(value); });
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
    take.each(part.output.overruled, [&] { return take.overruled(); });
    take.each(part.output.oddities, [&] { return take.oddity(); });
    return part;
  });
  return take.whole() ? std::optional(std::move(output)) : std::nullopt;
}

}  // namespace keepway::reader
