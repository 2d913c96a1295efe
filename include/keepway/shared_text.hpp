// Text that copies share: a program of a backup is most often the one of the backup before, and is held,
// written and compared as that.
#pragma once

#include <memory>
#include <string>
#include <string_view>
#include <utility>

namespace keepway {

// Used as a `const std::string&`. Copies may be used on several threads.
class SharedText {
 public:
  SharedText() = default;
  SharedText(std::string text)  // NOLINT(google-explicit-constructor): as a string is made of one
      : text_(text.empty() ? nullptr : std::make_shared<std::string>(std::move(text))) {}
  SharedText(std::string_view text) : SharedText(std::string(text)) {}  // NOLINT(google-explicit-constructor)
  SharedText(const char* text) : SharedText(std::string(text)) {}       // NOLINT(google-explicit-constructor)

  [[nodiscard]] const std::string& str() const {
    static const std::string none;
    return text_ ? *text_ : none;
  }
  operator const std::string&() const { return str(); }  // NOLINT(google-explicit-constructor)
  operator std::string_view() const { return str(); }    // NOLINT(google-explicit-constructor)
  [[nodiscard]] bool empty() const { return !text_ || text_->empty(); }
  [[nodiscard]] std::size_t size() const { return str().size(); }
  [[nodiscard]] auto begin() const { return str().begin(); }
  [[nodiscard]] auto end() const { return str().end(); }

  // To be changed; no other copy sees it.
  [[nodiscard]] std::string& edit() {
    if (!text_ || text_.use_count() > 1) text_ = std::make_shared<std::string>(str());
    return *text_;
  }

  // One and the same is not looked through.
  friend bool operator==(const SharedText& a, const SharedText& b) {
    return a.text_ == b.text_ || a.str() == b.str();
  }

 private:
  std::shared_ptr<std::string> text_;
};

}  // namespace keepway
