// Text from a backup made safe to show, to keep on one line and to use as a path, and back; and words
// compared.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace keepway {

// For messages and terminals: control bytes, and bytes that are not UTF-8, are written \\xNN; all else stays,
// so that a text made printable twice is the same. Not reversible: see escape().
std::string printable(std::string_view bytes);

// One line of clean UTF-8: backslash, tab, line ends, control bytes and bytes that are not UTF-8 are
// written \\ \t \n \r \xNN. Used wherever a backup's bytes may reach a terminal, a message or a line.
std::string escape(std::string_view bytes);
void append_escaped(std::string_view bytes, std::string& out);
// The bytes again; nullopt for text that escape() does not write.
std::optional<std::string> unescape(std::string_view text);

// Length of the multi-byte character at the front when it is well formed (RFC 3629: shortest forms, no
// surrogates, up to U+10FFFF) and not a control or a direction mark that could alter how a terminal shows
// what follows; else 0. ASCII gives 0.
std::size_t printable_utf8(std::string_view bytes);

// A file's name as received, made safe as a path in a Git tree and on any disk, and back. Bytes
// that some system cannot hold, device names, `.git` and the like are written %NN.
// Error{refused} for names that could leave the folder: absolute, `..` as a part, an empty part,
// or longer than 4096 bytes.
std::string safe_path(std::string_view name);
std::string received_name(std::string_view safe);

// UTF-8 with ASCII letters in place of others: "Länge", "Długość", "Длина". What is no letter stays.
std::string in_ascii(const std::string& utf8);

// Without its letters' case, where names differ for people and not for a disk. ASCII alone.
std::string lower(std::string_view text);
std::string upper(std::string_view text);

// The known word that a mistyped one was perhaps meant to be: the nearest by letters put in, left out,
// exchanged or swapped (optimal string alignment): at most one for a word of up to four letters, else two. Of
// several as near, the first; empty when none is, or the word is longer than any name.
std::string nearest_word(std::string_view word, const std::vector<std::string>& known);

}  // namespace keepway
