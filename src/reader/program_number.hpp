// What a program is called: by a line of its text, or by its file's name.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace keepway::reader {

// Digits of the program number when a line begins a program: its first word, comments aside, is one of
// `forms` (upper case) and a whole number of at most 32 digits: `O123`, `:123`. Empty when it does not. A
// byte behind the line is read: a line end, or the 0 of a string.
std::string program_number(std::string_view line, const std::vector<std::string>& forms);

// Digits of a file's name whose stem is a number, alone or behind one of `forms`: `O1234`; empty when it is
// not.
std::string_view number_in_name(std::string_view path, const std::vector<std::string>& forms);

// What a file that is a program is called. A number as addresses have it, so that it is found by one.
std::string name_of_file(std::string_view path);

}  // namespace keepway::reader
