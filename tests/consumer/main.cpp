// Another program that uses the library as it is installed: every public header, and a job over Git.
#include <filesystem>
#include <iostream>

#include "keepway/compare.hpp"
#include "keepway/compose.hpp"
#include "keepway/confirm.hpp"
#include "keepway/decimal.hpp"
#include "keepway/error.hpp"
#include "keepway/layout.hpp"
#include "keepway/meaning.hpp"
#include "keepway/media.hpp"
#include "keepway/merge.hpp"
#include "keepway/namebook.hpp"
#include "keepway/plan.hpp"
#include "keepway/reader.hpp"
#include "keepway/restore.hpp"
#include "keepway/restoring.hpp"
#include "keepway/shop.hpp"
#include "keepway/show.hpp"
#include "keepway/state.hpp"
#include "keepway/store.hpp"
#include "keepway/trial.hpp"
#include "keepway/verdict.hpp"

int main(int argc, char** argv) {
  if (argc != 2) return 2;
  keepway::Shop shop = keepway::Shop::init(argv[1], "An invented shop");
  const keepway::Machine mill =
      shop.enroll({"mill", "rs274ngc", "", "", keepway::Units::inch, {}, "Ida", 1'767'225'600});
  std::cout << mill.layout().title << '\n';
  return mill.backups().empty() && shop.machines().size() == 1 ? 0 : 1;
}
