// A backup judged beside the one before it, in memory: files in, verdict out.
#pragma once

#include <gtest/gtest.h>

#include <map>
#include <string>
#include <vector>

#include "keepway/verdict.hpp"

namespace keepway::testing_verdict {

using Files = std::map<std::string, std::string>;

inline constexpr const char* layout_text =
    "layout = 1\n"
    "[[source]]\ngroup = \"variables\"\nfiles = \"*.VAR\"\nreader = \"assign\"\nrequired = true\n"
    "[[source]]\ngroup = \"offsets\"\nfiles = \"*.OFS\"\nreader = \"words\"\n"
    "[[source.row]]\naddress = \"tool/{T}\"\nfields = { L = \"length\", D = \"diameter\" }\n"
    "[[source]]\ngroup = \"parameters\"\nfiles = \"*.PAR\"\nreader = \"words\"\ncomment = [\"(\"]\naddress = "
    "\"{A}\"\n"
    "fields = { V = \"\" }\n"
    "[[source]]\ngroup = \"programs\"\nfiles = \"*.PRG\"\nreader = \"blocks\"\nprotected = [\"700-799\"]\n";

struct Judging {
  Layout layout = parse_layout(layout_text, "test.toml");
  Namebook book = {};
  std::string serial = "4471";
  std::int64_t at = 2'000'000;
  std::int64_t was_at = 1'000'000;
  std::int64_t now_at = 0;
  bool from_drawer = false;
  std::vector<KnownReason> known = {};
  Past past = {};
  std::vector<std::string> last_reasons = {};
  Files since = {};  // of a doubtful #4 between #3 and the one judged; none where it is empty
  std::vector<std::string> since_reasons = {};  // of that one

  struct Read {
    media::Set set;
    Reading reading;
  };
  [[nodiscard]] Read read(const Files& files) const {
    Read read;
    for (const auto& [name, bytes] : files) read.set.files.push_back({name, bytes, std::nullopt});
    std::vector<OriginalView> views;
    for (const media::File& file : read.set.files) views.push_back({file.name, file.bytes});
    read.reading = read_backup(layout, {serial, Units::inch}, views);
    return read;
  }

  // Alone, as a first backup.
  [[nodiscard]] Verdict alone(const Files& files) const {
    const Read now = read(files);
    JudgeInput input{layout, book, now.set, now.reading, serial, at};
    input.now = now_at;
    input.from_drawer = from_drawer;
    input.known = known;
    return judge(input);
  }
  // Against #3, which was good.
  [[nodiscard]] Verdict of(const Files& files, const Files& before) const {
    const Read now = read(files);
    const Previous was{read(before).reading.state, was_at, 3, last_reasons};
    OldFiles old;
    std::vector<std::string> bytes;
    for (const auto& [name, text] : before) {
      const auto same = files.find(name);
      old.list.push_back({name, same != files.end() && same->second == text});
      bytes.push_back(text);
    }
    old.read = [&](std::size_t i) { return bytes[i]; };
    JudgeInput input{layout, book, now.set, now.reading, serial, at, &was, &was};
    const Previous between{read(since).reading.state, (was_at + at) / 2, 4, since_reasons};
    if (!since.empty()) input.last = &between;
    input.old_files = &old;
    input.now = now_at;
    input.from_drawer = from_drawer;
    input.known = known;
    input.past = past;
    return judge(input);
  }
};

inline std::vector<std::string> heavy(const Verdict& verdict) {
  std::vector<std::string> codes;
  for (const Reason& reason : verdict.reasons) {
    if (reason.weight != Worth::good) codes.push_back(reason.code);
  }
  return codes;
}

inline std::vector<std::string> notes(const Verdict& verdict) {
  std::vector<std::string> codes;
  for (const Reason& reason : verdict.reasons) {
    if (reason.weight == Worth::good) codes.push_back(reason.code);
  }
  return codes;
}

// "address: code" of each caution.
inline std::vector<std::string> caution_codes(const Verdict& verdict) {
  std::vector<std::string> out;
  for (const Caution& caution : verdict.cautions) {
    for (const std::string& code : caution.codes) out.push_back(caution.address.text() + ": " + code);
  }
  return out;
}

// Files with one text in one of them changed.
inline Files with(Files files, const std::string& name, const std::string& was, const std::string& is) {
  std::string& text = files.at(name);
  const std::size_t at = text.find(was);
  EXPECT_NE(at, std::string::npos) << name << " has no '" << was << "'";
  if (at != std::string::npos) text.replace(at, was.size(), is);
  return files;
}

// A whole backup of the layout above, long enough to lose something of.
inline Files whole_backup() {
  Files files;
  for (int i = 0; i < 60; ++i)
    files["M.VAR"] += "#" + std::to_string(300 + i) + "=" + std::to_string(i + 1) + ".25\n";
  for (int i = 1; i <= 20; ++i)
    files["M.OFS"] +=
        "T" + std::to_string(i) + " L" + std::to_string(i) + ".125 D." + std::to_string(i + 10) + "\n";
  files["M.PAR"] = "(MEMORY OF 4471)\n";
  for (int i = 1; i <= 40; ++i)
    files["M.PAR"] += "A" + std::to_string(i) + " V" + std::to_string(i * 37) + "\n";
  files["ALL.PRG"] = "%\n";
  for (int program = 1; program <= 12; ++program) {
    files["ALL.PRG"] += "O" + std::to_string(program * 10) + " (PART " + std::to_string(program) + ")\n";
    for (int i = 1; i <= 12; ++i)
      files["ALL.PRG"] += "G1 X" + std::to_string(program) + "." + std::to_string(i) + " Y-" +
                          std::to_string(i) + ".5 F20.\n";
    files["ALL.PRG"] += "M30\n";
  }
  files["ALL.PRG"] += "O701 (PROBE)\nG4 P1.\nM99\n%\n";
  return files;
}

}  // namespace keepway::testing_verdict
