// Whether what people said of backups is said of backups that are there.
#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "audit/audit.hpp"
#include "shop/amendments.hpp"

namespace keepway::audits {

void check_amendments(const store::Frame& frame, const History& history, store::Findings& findings) {
  const auto main = std::find_if(frame.refs.begin(), frame.refs.end(),
                                 [](const store::FoundRef& ref) { return ref.name == "refs/heads/main"; });
  if (main == frame.refs.end() || !main->id) return;
  std::set<std::string> names;
  for (const Stored& stored : history.backups()) names.insert(lasting_name(stored.backup));
  const store::RawCommit* each = history.commit(*main->id);
  while (each != nullptr) {
    const auto word = amendment_from_commit(each->info);
    if (word && !names.contains(word->backup)) {
      findings.push_back(
          {Concern::look, "amendment-astray", "",
           fmt::format("the commit {} ({}) is about a backup that is not here", each->info.id.substr(0, 12),
                       escape(each->info.summary)),
           "bring that backup from another PC with 'keepway sync', or say it again of the right one"});
    }
    each = each->parents.empty() ? nullptr : history.commit(each->parents.front());
  }
}

}  // namespace keepway::audits
