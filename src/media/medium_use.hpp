// Whether a medium may be written over as a whole: not when it is in use, read-only, or no stick.
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>

#include "media/sysfs.hpp"

namespace keepway::media {

// Our own bound: no stick for floppies is larger.
inline constexpr std::uint64_t max_stick_bytes = 64ULL << 30U;

// Error{refused} for the block device `id` ("8:16") of that size, which is shown as `path`: mounted, or one
// of its partitions is; read-only; not removable; too large; or unknown to the system.
void refuse_unfit_device(const std::filesystem::path& path, const std::string& id, std::uint64_t bytes,
                         const SystemFiles& files = {});

// Error{refused} for an image file that nobody may write, or that is in use as a loop device.
void refuse_unfit_image(const std::filesystem::path& path, std::uint64_t bytes,
                        const SystemFiles& files = {});

}  // namespace keepway::media
