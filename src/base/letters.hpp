// Letters of other alphabets, and of ours with marks, as they are written where there are none but ASCII's.
#pragma once

#include <string>

namespace keepway {

// UTF-8 with ASCII letters in place of others: "Länge", "Długość", "Длина". What is no letter stays.
std::string in_ascii(const std::string& utf8);

}  // namespace keepway
