// Opening a page in the user's browser.
#pragma once

#include <filesystem>
#include <string>

namespace keepway::cli {

// Where there is a desktop (or $BROWSER says so), has the user's browser open `url`; does nothing where not,
// and never fails. The browser is given a page in `folder` that leads there: the words that a program is
// started with can be read by every user of a computer, and the address has a key in it.
void open_browser(const std::string& url, const std::filesystem::path& folder);

}  // namespace keepway::cli
