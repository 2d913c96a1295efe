// Random changes of single items over every reader: the result differs from the original in exactly the
// item's span, and reads back as exactly that one change. Rows, spellings and values are made up at random
// from fixed seeds.
#include <fmt/format.h>

#include <array>
#include <random>

#include "restore_support.hpp"

namespace keepway {
namespace {

using test::Bench;

constexpr int rounds = 1000;

class Chance {
 public:
  explicit Chance(unsigned seed) : engine_(seed) {}
  int upto(int last) { return std::uniform_int_distribution<int>(0, last)(engine_); }
  bool coin() { return upto(1) == 1; }
  std::string digits(int count) {
    std::string out;
    for (int i = 0; i < count; ++i) out += static_cast<char>('0' + upto(9));
    return out;
  }
  // A number in any spelling.
  std::string spelling() {
    std::string out = std::vector<std::string>{"", "", "-", "+"}[static_cast<std::size_t>(upto(3))];
    const int whole = upto(5);
    out += digits(whole);
    if (whole == 0 || coin()) out += '.' + digits(whole == 0 ? 1 + upto(4) : upto(4));
    return out;
  }
  // A value as an item holds it: `pointed` where a whole number may keep its point.
  std::string value(bool pointed) {
    std::string out = *canonical_number(spelling());
    if (pointed && out != "0" && out.find('.') == std::string::npos && coin()) out += '.';
    return out;
  }
  std::string word() {
    std::string out;
    for (int i = upto(7); i >= 0; --i) out += static_cast<char>('A' + upto(25));
    return out;
  }

 private:
  std::mt19937 engine_;
};

// How a family of files is written, a row at a time.
struct Form {
  std::string name;
  std::string toml;
  std::string (*row)(Chance& chance, int number);
  bool fixed = false;
  // Whether numbers count in least increments: then no value keeps a point.
  [[nodiscard]] bool counts() const { return toml.find("least_increment") != std::string::npos; }
};

std::string source(const std::string& rest) {
  return "layout = 1\n[[source]]\ngroup = \"offsets\"\nfiles = [\"*.dat\"]\ncomment = [\";\"]\n"
         "comment_field = \"note\"\n" +
         rest;
}

std::string in_column(Chance& chance, std::string text, std::size_t width) {
  text = text.substr(0, width);
  const std::size_t fill = width - text.size();
  const int how = chance.upto(2);  // left, right, or somewhere between
  const std::size_t front = how == 0 ? 0 : how == 1 ? fill : fill / 2;
  return std::string(front, ' ') + text + std::string(fill - front, ' ');
}

std::string maybe_note(Chance& chance) {
  return chance.coin() ? " ; " + chance.word() : "";
}

const std::vector<Form>& forms() {
  static const std::string increment = "least_increment = { inch = \"0.0001\", mm = \"0.001\" }\n";
  static const std::string word_rows =
      "reader = \"words\"\n[[source.row]]\nmatch = \"G10\"\naddress = \"work/{P}\"\n"
      "fields = { X = \"X\", Y = \"Y\", Q = { name = \"code\", kind = \"whole\" } }\n";
  static const std::string three =
      "columns = [{ name = \"n\", kind = \"whole\" }, \"a\", \"b\", \"t\"]\n"
      "address = \"row/{n}\"\n"
      "fields = { a = \"a\", b = \"b\", t = { name = \"t\", kind = \"text\" } }\n";
  static const std::string fixed =
      "columns = [{ name = \"n\", kind = \"whole\", at = 0, width = 4 }, { name = \"a\", at = 5, width = 10 "
      "},"
      " { name = \"b\", at = 15, width = 12 }, { name = \"t\", at = 28, width = 9 }]\naddress = \"row/{n}\"\n"
      "fields = { a = \"a\", b = \"b\", t = { name = \"t\", kind = \"text\" } }\n";
  static const auto words_row = [](Chance& chance, int number) {
    const std::string gap = chance.coin() ? " " : "";
    return fmt::format("G10{0}P{1}{0}X{2}{0}Y{0}{3}{0}Q{4}{5}", gap, number, chance.spelling(),
                       chance.spelling(), chance.digits(3), maybe_note(chance));
  };
  static const auto assign_row = [](Chance& chance, int number) {
    if (chance.coin()) return fmt::format("#{} = {}{}", number, chance.spelling(), maybe_note(chance));
    return fmt::format("#{}={}#<v{}>={}", number, chance.spelling(), number, chance.spelling());
  };
  static const auto fixed_row = [](Chance& chance, int number) {
    return fmt::format("{:>4} {}{} {}", number, in_column(chance, chance.spelling(), 10),
                       in_column(chance, chance.spelling(), 12), in_column(chance, chance.word(), 9));
  };
  static const std::vector<Form> list = {
      {"words", source(word_rows), words_row},
      {"words in increments", source(increment + word_rows), words_row},
      {"assign", source("reader = \"assign\"\n"), assign_row},
      {"assign in increments", source(increment + "reader = \"assign\"\n"), assign_row},
      {"columns by blanks", source("reader = \"columns\"\nsplit = \"blanks\"\n" + three),
       [](Chance& chance, int number) {
         return fmt::format("  {}   {} \t{} {}", number, chance.spelling(), chance.spelling(), chance.word());
       }},
      {"columns by tabs", source("reader = \"columns\"\nsplit = \"tab\"\n" + three),
       [](Chance& chance, int number) {
         return fmt::format("{}\t{} \t {}\t{}", number, chance.spelling(), chance.spelling(), chance.word());
       }},
      {"columns by commas", source("reader = \"columns\"\nsplit = \"comma\"\n" + three),
       [](Chance& chance, int number) {
         return fmt::format("{}, {},\"{}\",{}", number, chance.spelling(), chance.spelling(), chance.word());
       }},
      {"columns in increments", source(increment + "reader = \"columns\"\nsplit = \"comma\"\n" + three),
       [](Chance& chance, int number) {
         return fmt::format("{},{},{},{}", number, chance.spelling(), chance.spelling(), chance.word());
       }},
      {"columns of fixed width", source("reader = \"columns\"\nsplit = \"fixed\"\n" + fixed), fixed_row,
       true},
      {"fixed width in increments", source(increment + "reader = \"columns\"\nsplit = \"fixed\"\n" + fixed),
       fixed_row, true},
      {"sections", source("reader = \"sections\"\n"),
       [](Chance& chance, int number) {
         return fmt::format("[part{}]{}key = {}{}", number, "\n", chance.spelling(), maybe_note(chance));
       }},
  };
  return list;
}

// One file with a few rows, line ends and parity by chance.
Bench make_bench(const Form& form, Chance& chance) {
  const std::string end =
      std::vector<std::string>{"\n", "\r\n", "\r"}[static_cast<std::size_t>(chance.upto(2))];
  std::string text;
  const int rows = 1 + chance.upto(4);
  for (int i = 1; i <= rows; ++i) {
    for (const char c : form.row(chance, i)) {
      if (c == '\n') {
        text += end;
      } else {
        text += c;
      }
    }
    if (i < rows || chance.upto(4) > 0 || form.name.starts_with("columns") || form.fixed) text += end;
  }
  if (chance.coin()) text = test::even_parity(text);
  return {
      form.toml, {{"A.DAT", text}, {"Z.TXT", "left alone"}}, {"", chance.coin() ? Units::inch : Units::mm}};
}

// The result is the original with nothing but the span's bytes exchanged, in a column of fixed width with its
// padding.
void expect_only_span_differs(const std::string& before, const std::string& after, Span span, bool padded) {
  const auto blank = [&](std::uint64_t at) { return at < before.size() && (before[at] & 0x7F) == ' '; };
  while (padded && span.at > 0 && blank(span.at - 1)) {
    --span.at;
    ++span.length;
  }
  while (padded && blank(span.at + span.length)) ++span.length;
  ASSERT_GE(after.size() + span.length, before.size());
  EXPECT_EQ(after.substr(0, span.at), before.substr(0, span.at));
  const std::size_t rest = before.size() - span.at - span.length;
  EXPECT_EQ(after.substr(after.size() - rest), before.substr(before.size() - rest));
}

TEST(RandomRestore, OfOneValueChangesItsSpanAndReadsBackAsThatChange) {
  for (const Form& form : forms()) {
    Chance chance(20260401);
    int refused = 0;
    int done = 0;
    for (int round = 0; round < rounds; ++round) {
      const Bench bench = make_bench(form, chance);
      const Reading before = bench.reading();
      const Table& table = *before.state.table(Group::offsets);
      const Item& item = table[static_cast<std::size_t>(chance.upto(static_cast<int>(table.size()) - 1))];
      ASSERT_FALSE(is_unread(item.key)) << form.name << ": " << item.value;
      const Origin& origin = *before.origin(Group::offsets, item.key);
      std::string value = origin.kind == FieldKind::text    ? chance.word()
                          : origin.kind == FieldKind::whole ? *canonical_number(chance.digits(4))
                                                            : chance.value(!form.counts());
      if (value == item.value) continue;
      SCOPED_TRACE(fmt::format("{}, round {}: {} from {} to {} in\n{}", form.name, round, item.key,
                               item.value, value, bench.set.files[0].bytes));
      const Composed out = bench.changed("offsets/" + item.key, value);
      if (!out.refused.empty()) {
        ++refused;
        EXPECT_TRUE(form.fixed) << out.refused[0].why;
        EXPECT_FALSE(out.refused[0].why.empty());
        EXPECT_EQ(out.set.files[0].bytes, bench.set.files[0].bytes);
        continue;
      }
      ++done;
      ASSERT_EQ(out.set.files.size(), 2U);
      EXPECT_EQ(out.set.files[1].bytes, "left alone");
      expect_only_span_differs(bench.set.files[0].bytes, out.set.files[0].bytes, origin.span, form.fixed);
      if (form.fixed) {
        EXPECT_EQ(out.set.files[0].bytes.size(), bench.set.files[0].bytes.size());
      }
      const Reading after = test::read_set(out.set, bench.layout, bench.context);
      EXPECT_EQ(after.files[0].parity, before.files[0].parity);
      const Changes changes = compare(before.state, after.state);
      ASSERT_EQ(changes.values.size(), 1U);
      EXPECT_EQ(changes.values[0].key, item.key);
      EXPECT_EQ(changes.values[0].after, value);
      EXPECT_TRUE(changes.programs.empty());
      if (testing::Test::HasFailure()) return;
    }
    // Most changes must be done, in fixed columns too: what is refused is longer or finer than the column
    // shows.
    EXPECT_GT(done, rounds / (form.fixed ? 10 : 2)) << form.name;
    std::string property = form.name + " refused";
    std::replace(property.begin(), property.end(), ' ', '_');
    testing::Test::RecordProperty(property, refused);
  }
}

// --- programs --------------------------------------------------------------------------------

std::string program_text(Chance& chance, int number, const std::string& end) {
  std::string out = fmt::format("{}{:04}{}{}", chance.coin() ? "O" : ":", number,
                                chance.coin() ? " (" + chance.word() + ")" : "", end);
  for (int i = chance.upto(4); i >= 0; --i)
    out += fmt::format("G1 X{} F{}.{}", chance.spelling(), chance.upto(99), end);
  return out + "M30" + end;
}

media::Set program_set(Chance& chance, bool one_a_file) {
  const std::string end = chance.coin() ? "\n" : "\r\n";
  std::vector<media::File> files;
  std::string all = "%" + end;
  const bool marks_between = chance.coin();
  for (int number = 1; number <= 8; ++number) {
    if (chance.upto(3) == 0) continue;
    const std::string text = program_text(chance, number, end);
    if (one_a_file) {
      files.push_back({fmt::format("O{:04}.NC", number), "%" + end + text + "%" + end});
    } else {
      all += text;
      if (marks_between) all += "%" + end;
    }
  }
  if (!one_a_file && !marks_between) all += "%" + end;
  if (!one_a_file) files.push_back({"ALL.NC", all});
  if (chance.coin()) {
    for (media::File& file : files) file.bytes = test::even_parity(file.bytes);
  }
  return test::make_set(std::move(files));
}

// All but one stretch of `after` is `before`, or the other way round.
bool is_insertion(const std::string& before, const std::string& after) {
  if (after.size() < before.size()) return is_insertion(after, before);
  std::size_t front = 0;
  while (front < before.size() && before[front] == after[front]) ++front;
  std::size_t back = 0;
  while (back < before.size() - front && before[before.size() - 1 - back] == after[after.size() - 1 - back])
    ++back;
  return front + back >= before.size();
}

TEST(RandomRestore, OfOneProgramChangesItAndNothingElse) {
  const std::string toml =
      "layout = 1\n[[source]]\ngroup = \"programs\"\nfiles = [\"*.nc\"]\nreader = \"blocks\"\ncomment = "
      "\"(\"\n";
  for (const bool one_a_file : {true, false}) {
    Chance chance(77);
    std::array<int, 3> done{};  // exchanged, put in, taken out
    for (int round = 0; round < rounds; ++round) {
      Bench now(toml, {});
      Bench old(toml, {});
      now.set = program_set(chance, one_a_file);
      old.set = program_set(chance, one_a_file);
      const Reading before = now.reading();
      const State target = old.reading().state;
      const std::string name = fmt::format("O{}", 1 + chance.upto(7));
      const Program* was = before.state.program(name);
      const Program* is = target.program(name);
      if (was == nullptr && is == nullptr) continue;
      // With no program left there is nothing in a file of many to put one beside.
      if (!one_a_file && before.programs.empty()) continue;
      SCOPED_TRACE(fmt::format("{} round {}", name, round));
      const Composed out = now.possible(target, {"programs/" + name}, {{old.set, old.layout, old.context}});
      ASSERT_TRUE(out.refused.empty()) << out.refused[0].why;
      State wanted = before.state;
      std::erase_if(wanted.programs, [&](const Program& program) { return program.name == name; });
      if (is != nullptr) wanted.programs.push_back(*is);
      std::sort(wanted.programs.begin(), wanted.programs.end(),
                [](const Program& a, const Program& b) { return natural_order(a.name, b.name) < 0; });
      EXPECT_EQ(test::read_set(out.set, now.layout).state.programs, wanted.programs);
      for (const media::File& file : out.set.files) {
        const std::string bytes = test::bytes_of(now.set, file.name);
        const Origin* origin = before.origin(Group::programs, name);
        if (bytes == "(no file)") {
          EXPECT_EQ(file.bytes, test::bytes_of(old.set, file.name));
        } else if (was != nullptr && is != nullptr && now.set.files[origin->span.file].name == file.name) {
          expect_only_span_differs(bytes, file.bytes, origin->span, true);
        } else {
          EXPECT_TRUE(is_insertion(bytes, file.bytes));
        }
      }
      ++done[was != nullptr && is != nullptr ? 0 : is != nullptr ? 1 : 2];
      if (testing::Test::HasFailure()) return;
    }
    for (const int count : done) EXPECT_GT(count, 100);
  }
}

}  // namespace
}  // namespace keepway
