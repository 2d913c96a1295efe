#include "compare/references.hpp"

#include <algorithm>

#include "base/digit.hpp"
#include "keepway/state.hpp"

namespace keepway {
namespace {

// The next token of code in its normal form; empty at the end.
std::string_view take_token(std::string_view& code) {
  const std::size_t end = std::min(code.find(' '), code.size());
  const std::string_view token = code.substr(0, end);
  code.remove_prefix(std::min(end + 1, code.size()));
  return token;
}

// The digits of a word such as P20; empty when it is another or no whole number.
std::string_view digits_of(std::string_view token, char letter) {
  if (token.size() < 2 || token[0] != letter) return {};
  token.remove_prefix(1);
  return all_digits(token) ? token : std::string_view();
}

struct Words {
  std::string_view p;
  std::string_view q;
  std::string_view n;  // that does not number the block
  std::vector<std::string_view> jumps;
  bool computed = false;
  bool calls = false;    // M98
  bool returns = false;  // M99
};

Words words_in(std::string_view code) {
  Words words;
  while (!code.empty()) {
    const std::string_view token = take_token(code);
    if (token == "GOTO") {
      const std::string_view target = take_token(code);
      if (all_digits(target)) {
        words.jumps.push_back(target);
      } else {
        words.computed = true;
      }
    } else if (token == "M98") {
      words.calls = true;
    } else if (token == "M99") {
      words.returns = true;
    } else if (const auto p = digits_of(token, 'P'); !p.empty()) {
      words.p = p;
    } else if (const auto q = digits_of(token, 'Q'); !q.empty()) {
      words.q = q;
    } else if (const auto n = digits_of(token, 'N'); !n.empty()) {
      words.n = n;
    }
  }
  return words;
}

template <class Visit>
void each_line(std::string_view program, const Visit& visit) {
  while (!program.empty()) {
    const std::size_t end = std::min(program.find('\n'), program.size());
    visit(program.substr(0, end));
    program.remove_prefix(std::min(end + 1, program.size()));
  }
}

// The number of a block's N word.
std::string_view number_of(const BlockText& block) {
  std::string_view line = block.line;
  line.remove_prefix(std::min(line.size(), block.skip.empty() ? 0 : block.skip.size() + 1));
  return digits_of(take_token(line), 'N');
}

}  // namespace

References::References(std::string_view program, const std::vector<BlockText>& blocks) : blocks_(blocks) {
  const auto holds = [&](std::string_view what) { return program.find(what) != std::string_view::npos; };
  if (!holds("GOTO") && !holds("M99") && !(holds("P") && holds("Q"))) return;
  find_labels(program);
  for (std::size_t i = 0; i < blocks.size(); ++i) look(i, blocks[i].code);
}

void References::find_labels(std::string_view program) {
  std::size_t block = 0;
  each_line(program, [&](std::string_view line) {
    const BlockText text = take_apart(line);
    if (const auto number = number_of(text); !number.empty()) {
      target_of_.try_emplace(number, block);
    }
    if (!text.only_number()) ++block;
  });
}

void References::look(std::size_t block, std::string_view code) {
  const Words words = words_in(code);
  computed_ = computed_ || words.computed;
  for (const std::string_view jump : words.jumps) refer(block, jump);
  const bool both = target_of_.contains(words.p) && target_of_.contains(words.q);
  if (words.returns || both) refer(block, words.p);
  if (both) refer(block, words.q);
}

void References::refer(std::size_t block, std::string_view digits) {
  const auto target = target_of_.find(digits);
  if (target != target_of_.end()) all_.push_back({block, target->second, digits});
}

std::vector<Reference>::const_iterator References::first_in(std::size_t block) const {
  return std::lower_bound(all_.begin(), all_.end(), block,
                          [](const Reference& one, std::size_t at) { return one.block < at; });
}

bool References::any_in(std::size_t block) const {
  const auto first = first_in(block);
  return first != all_.end() && first->block == block;
}

std::string References::open_body(std::size_t block) const {
  constexpr char open = '\x01';  // which no normal form holds
  std::string body = blocks_[block].body();
  for (auto one = first_in(block); one != all_.end() && one->block == block; ++one) {
    const auto at = static_cast<std::size_t>(one->digits.data() - blocks_[block].code.data());
    const std::size_t front = blocks_[block].skip.empty() ? 0 : blocks_[block].skip.size() + 1;
    std::fill_n(body.begin() + static_cast<std::ptrdiff_t>(front + at), one->digits.size(), open);
  }
  body.erase(std::unique(body.begin(), body.end(), [](char a, char b) { return a == open && b == open; }),
             body.end());
  return body;
}

std::string_view References::label(std::size_t block) const {
  return number_of(blocks_[block]);
}

void add_foreign_references(std::string_view program, ForeignReferences& out) {
  if (program.find("M98") == std::string_view::npos && program.find("M99") == std::string_view::npos) return;
  each_line(program, [&](std::string_view line) {
    const Words words = words_in(take_apart(line).code);
    if (words.returns && !words.p.empty()) out[""].emplace(words.p);
    if (words.calls && !words.p.empty() && !words.n.empty()) out[program_name(words.p)].emplace(words.n);
  });
}

std::set<std::size_t> blocks_named(std::string_view program, const std::set<std::string>& numbers) {
  std::set<std::size_t> named;
  std::size_t block = 0;
  each_line(program, [&](std::string_view line) {
    const BlockText text = take_apart(line);
    if (numbers.contains(std::string(number_of(text)))) named.insert(block);
    if (!text.only_number()) ++block;
  });
  return named;
}

}  // namespace keepway
