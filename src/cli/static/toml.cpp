// toml++, compiled in: its shared form brings the C++ library along as another shared one.
#define TOML_IMPLEMENTATION
#include <toml++/toml.h>
