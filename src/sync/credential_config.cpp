#include "sync/credential_config.hpp"

#include <algorithm>
#include <array>
#include <string_view>
#include <utility>

#include "git/git.hpp"
#include "keepway/text.hpp"

namespace keepway::store {
namespace {

using IteratorHandle = std::unique_ptr<git_config_iterator, Freed<git_config_iterator_free>>;

int hex_digit(char c) {
  if (c >= '0' && c <= '9') return c - '0';
  if (c >= 'a' && c <= 'f') return c - 'a' + 10;
  return c >= 'A' && c <= 'F' ? c - 'A' + 10 : -1;
}

std::string decoded(std::string_view text) {
  std::string out;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const int high = text[i] == '%' && i + 2 < text.size() ? hex_digit(text[i + 1]) : -1;
    const int low = high < 0 ? -1 : hex_digit(text[i + 2]);
    out += low < 0 ? text[i] : static_cast<char>(high * 16 + low);
    if (low >= 0) i += 2;
  }
  return out;
}

// "example.com:443" of https and "example.com" are the same: host and port, the port of the scheme filled in.
std::pair<std::string, std::string> host_and_port(const UrlParts& url) {
  const std::size_t colon = url.host.rfind(':');
  const bool has_port = colon != std::string::npos && url.host.find(']', colon) == std::string::npos;
  std::string port = has_port ? url.host.substr(colon + 1) : "";
  if (port.empty()) port = url.scheme == "https" ? "443" : url.scheme == "http" ? "80" : "";
  return {lower(has_port ? url.host.substr(0, colon) : url.host), port};
}

bool same_host(std::string_view pattern, std::string_view host) {
  while (!pattern.empty() && !host.empty()) {
    const std::size_t p = std::min(pattern.find('.'), pattern.size());
    const std::size_t h = std::min(host.find('.'), host.size());
    if (pattern.substr(0, p) != host.substr(0, h) && pattern.substr(0, p) != "*") return false;
    pattern.remove_prefix(std::min(p + 1, pattern.size()));
    host.remove_prefix(std::min(h + 1, host.size()));
  }
  return pattern.empty() && host.empty();
}

bool is_below(std::string path, std::string folder) {
  for (std::string* each : {&path, &folder}) {
    while (each->ends_with('/')) each->pop_back();
  }
  return folder.empty() || path == folder || path.starts_with(folder + '/');
}

// As libgit2 takes any yes or no; a name without a value is a yes, and what is neither is a no.
bool is_true(const char* value) {
  int yes = 0;
  return git_config_parse_bool(&yes, value) == 0 && yes != 0;
}

}  // namespace

UrlParts url_parts(const std::string& url) {
  UrlParts parts;
  std::string_view rest = url;
  if (const std::size_t colon = rest.find("://"); colon != std::string_view::npos) {
    parts.scheme = lower(url.substr(0, colon));
    rest.remove_prefix(colon + 3);
  }
  const std::size_t slash = std::min(rest.find('/'), rest.size());
  std::string_view host = rest.substr(0, slash);
  if (const std::size_t at = host.rfind('@'); at != std::string_view::npos) {
    parts.user = decoded(host.substr(0, std::min(host.find(':'), at)));
    host.remove_prefix(at + 1);
  }
  parts.host = host;
  if (slash < rest.size()) parts.path = decoded(rest.substr(slash + 1));
  return parts;
}

bool is_for(const std::string& pattern, const UrlParts& url) {
  const UrlParts wanted = url_parts(pattern);
  if (wanted.scheme.empty() || wanted.host.empty()) {
    const auto fits = [](const std::string& want, const std::string& have) {
      return want.empty() || want == have;
    };
    return fits(wanted.scheme, url.scheme) && fits(wanted.host, url.host) && fits(wanted.user, url.user) &&
           fits(wanted.path, url.path);
  }
  const auto [pattern_host, pattern_port] = host_and_port(wanted);
  const auto [host, port] = host_and_port(url);
  return wanted.scheme == url.scheme && (wanted.user.empty() || wanted.user == url.user) &&
         same_host(pattern_host, host) && pattern_port == port && is_below(url.path, wanted.path);
}

CredentialConfig credential_config(const git_config& config, const UrlParts& url) {
  constexpr std::string_view section = "credential.";
  CredentialConfig out;
  const auto entries = take<IteratorHandle>("read the configuration", git_config_iterator_new, &config);
  git_config_entry* entry = nullptr;
  int code = 0;
  while ((code = git_config_next(&entry, entries.get())) == 0) {
    std::string_view name = entry->name;
    if (!name.starts_with(section)) continue;
    name.remove_prefix(section.size());
    if (const std::size_t dot = name.rfind('.'); dot != std::string_view::npos) {
      if (!is_for(std::string(name.substr(0, dot)), url)) continue;
      name.remove_prefix(dot + 1);
    }
    const std::string value = entry->value == nullptr ? "" : entry->value;
    if (name == "helper" && value.empty()) {
      out.helpers.clear();
    } else if (name == "helper") {
      out.helpers.push_back(value);
    } else if (name == "username") {
      out.user = value;  // the last one, so that a repository's goes before the person's
    } else if (name == "usehttppath") {
      out.with_path = is_true(entry->value);
    }
  }
  if (code != GIT_ITEROVER) check(code, "read the configuration");
  return out;
}

}  // namespace keepway::store
