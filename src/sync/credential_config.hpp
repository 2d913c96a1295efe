// Which credential helpers Git's configuration names for a URL, as gitcredentials(7) has it: `credential.X`
// and `credential.URL.X`, system to repository, an empty helper taking back those before it.
#pragma once

#include <git2.h>

#include <string>
#include <vector>

namespace keepway::store {

// A URL in parts; percent signs in user and path are decoded. "" where it has none.
struct UrlParts {
  std::string scheme;
  std::string user;
  std::string host;  // with its port
  std::string path;  // without its first slash
};
UrlParts url_parts(const std::string& url);

// Whether settings under `credential.PATTERN` are for this URL: the same scheme, host (`*` stands for one
// label) and port, the same user if the pattern has one, and a path that is the pattern's or below it. A
// pattern that is part of a URL ("example.com") must be the same in what it has.
bool is_for(const std::string& pattern, const UrlParts& url);

struct CredentialConfig {
  std::vector<std::string> helpers;  // in the order in which Git asks them
  std::string user;
  bool with_path = false;  // credential.useHttpPath
};
// Error{store} when the configuration cannot be read.
CredentialConfig credential_config(const git_config& config, const UrlParts& url);

}  // namespace keepway::store
