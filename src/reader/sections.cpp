// Sections: `[part]` lines, each followed by `key = value` lines.
#include "reader/rows.hpp"

namespace keepway::reader {
namespace {

class SectionReader {
 public:
  SectionReader(const Input& input, Output& output)
      : rows_(input, output),
        quoted_(input.source.quoted),
        field_(input.source.rows.front().fields.front()),
        key_(input.source.rows.front()) {}

  void read() {
    const auto read_row = [this](const Row& row) { return is_heading(row.code) || read_setting(row); };
    const auto is_row = [](const Row& row) {
      const std::string_view text = trim(row.code);
      return text.front() == '[' || text.find('=') != std::string_view::npos;
    };
    rows_.read_all(is_row, read_row, true);
  }

 private:
  bool is_heading(std::string_view code) {
    const std::string_view text = trim(code);
    if (text.size() < 2 || text.front() != '[' || text.back() != ']') return false;
    part_ = trim(text.substr(1, text.size() - 2));
    return true;
  }

  bool read_setting(const Row& row) {
    const std::size_t equals = row.code.find('=');
    if (equals == std::string_view::npos) return false;
    const std::string_view key = bare(trim(row.code.substr(0, equals)));
    if (key.empty()) return false;
    if (part_.empty()) {  // before the first heading a key is alone
      if (!may_be_key(key)) return false;
      text_ = key;
    } else {
      const auto part = [&](const std::string& name) -> std::optional<std::string_view> {
        return name == "part" ? std::string_view(part_) : key;
      };
      if (!key_.fill(part, text_)) return false;
    }
    rows_.begin(row, text_);
    rows_.value(row, field_, bare(trim(row.code.substr(equals + 1))));
    rows_.comment(row);
    return true;
  }

  // Without its quotes, where the layout has them; a quote alone is a part of the text.
  [[nodiscard]] std::string_view bare(std::string_view text) const {
    const bool in_quotes = quoted_ && text.size() > 1 && text.front() == '"' && text.back() == '"';
    return in_quotes ? text.substr(1, text.size() - 2) : text;
  }

  Rows rows_;
  const bool quoted_;
  const Field& field_;
  KeyTemplate key_;
  std::string part_;
  std::string text_;  // the key
};

}  // namespace

void read_sections(const Input& input, Output& output) {
  SectionReader(input, output).read();
}

}  // namespace keepway::reader
