// A fuzzer's kept corpus, run without a fuzzer: every input as it is, cut short, and with bytes turned from a
// fixed seed. Any compiler builds it; the suite runs one for each fuzzer. Usage: replay_NAME FOLDER
#include <algorithm>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <random>
#include <string>
#include <vector>

extern "C" int LLVMFuzzerTestOneInput(const unsigned char* data, std::size_t size);

namespace {

constexpr int turned_a_file = 1500;

void run(const std::string& bytes) {
  // A copy of its own, so that a sanitizer sees a step past the end.
  const std::vector<unsigned char> own(bytes.begin(), bytes.end());
  (void)LLVMFuzzerTestOneInput(own.data(), own.size());
}

}  // namespace

int main(int count, char** arguments) {
  if (count != 2) {
    std::fputs("usage: replay FOLDER\n", stderr);
    return 2;
  }
  std::vector<std::filesystem::path> files;
  for (const auto& entry : std::filesystem::directory_iterator(arguments[1])) files.push_back(entry.path());
  std::sort(files.begin(), files.end());
  std::mt19937 random(1);
  std::size_t runs = 0;
  run({});
  for (const auto& path : files) {
    std::ifstream in(path, std::ios::binary);
    const std::string bytes((std::istreambuf_iterator<char>(in)), std::istreambuf_iterator<char>());
    run(bytes);
    for (int i = 0; i < turned_a_file && !bytes.empty(); ++i) {
      std::string turned = bytes.substr(0, i % 4 == 0 ? random() % bytes.size() : bytes.size());
      for (unsigned left = 1 + random() % 4; left > 0 && !turned.empty(); --left) {
        turned[random() % turned.size()] = static_cast<char>(random() & 0xffU);
      }
      run(turned);
    }
    ++runs;
  }
  std::printf("%zu inputs, each also turned %d times\n", runs, turned_a_file);
  return runs == 0 ? 1 : 0;  // an empty corpus proves nothing
}
