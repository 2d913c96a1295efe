// Reading and writing the media that backups travel on. Knows bytes and names, never what is in
// the files.
#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "keepway/error.hpp"
#include "keepway/on_progress.hpp"

namespace keepway::media {

// Bounds on what is taken in, so that hostile media cost no more than this.
inline constexpr std::uint64_t max_file_bytes = 256ULL << 20;
inline constexpr std::uint64_t max_set_bytes = 512ULL << 20;
inline constexpr std::size_t max_files = 100'000;
inline constexpr std::size_t max_depth = 64;

// One file as received. `name` is its path below the medium's root, parts joined by '/', any bytes.
struct File {
  std::string name;
  std::string bytes;
  std::optional<std::int64_t> modified = std::nullopt;  // seconds since 1970-01-01 UTC
  bool recovered = false;                               // was deleted on its volume; see ReadOptions
};

// Something wrong with the medium or a file on it, that did not stop the reading.
struct Flaw {
  std::string file;  // name of the file, empty for the medium itself
  std::string what;
  std::string remedy;
};

// A file that was deleted on a FAT volume. Its name's first letter is lost ('_') unless it had a long name.
struct Deleted {
  std::string name;
  std::uint64_t size = 0;
  std::optional<std::int64_t> modified = std::nullopt;
  bool recoverable = false;  // all its clusters are still free, taking it as one run
};

// All that came off one medium. Files are sorted by name (bytes), names unique.
struct Set {
  std::vector<File> files;
  std::vector<std::string> empty_folders;
  std::vector<Flaw> flaws;
  std::vector<std::string> litter;  // left out of `files`: see is_litter()
  std::string source;               // for people: "folder drawer/2026-03-02"
  bool archive = false;             // read from one

  // FAT volumes only.
  std::vector<Deleted> deleted;
  bool volume_full = false;  // no cluster or no root entry is left: the control may have run out of room
  std::string filled_file;   // the file written last, when it ends exactly where a cluster does
  std::string label;
  std::optional<std::int64_t> label_time;

  [[nodiscard]] std::optional<std::int64_t> newest() const;
};

// Whether a file or folder was left by a PC's operating system and not by a control (common practice, no
// source): Thumbs.db, desktop.ini, .DS_Store, and all below `System Volume Information`.
bool is_litter(std::string_view name);

struct ReadOptions {
  std::optional<std::size_t> slot = {};  // of a stick; from 1, as find_slots counts
  bool recover = false;                  // deleted files too, each with a flaw that says so
  // Of the files of a folder or an archive, and of what is unpacked or looked through for volumes.
  OnProgress on_progress = {};
};

// Takes in a medium, recognised by what it is and not by its name. Never writes to it.
//  - a folder, walked with its sub-folders;
//  - a FAT12 or FAT16 volume (ECMA-107), or a stick with many: an image file or a block device. File times
//    on FAT have no time zone and are taken as by the clock on the wall. With several volumes and no slot:
//    Error{usage} that lists them;
//  - an archive: zip, tar, tar.gz, tar.bz2, tar.xz, 7z;
//  - any other file, alone.
// What a PC's operating system left in a folder, volume or archive is not read; Set::litter names it.
// A volume's or archive's damage is reported in Set::flaws and the rest is read.
// Error{input} if it is not there or cannot be read, is over the bounds, changes while it is read, or is
// encrypted, one of several parts of an archive, or a volume that is not FAT12 or FAT16; a file whose name is
// longer than a disk can hold is left out, with a flaw. Error{refused} for links, pipes, devices and names
// that leave the folder, which no control writes; Error{usage} for a slot that is not there.
Set read(const std::filesystem::path& path, const ReadOptions& options = {});

// The one folder that everything in an archive lies in, as where a folder was packed and not its files; empty
// where there is none, or the set came from no archive.
std::string outer_folder(const Set& set);
// Takes that folder's name off all names, and says so in Set::source. Does nothing without one.
void take_inside(Set& set);

// Gives a recovered file (`from`, such as "_K88213.TAB") the name that it had but for the first letter, which
// a deletion loses. Error{usage} when there is no such file, when the names differ in more than that letter,
// or when another file has the name.
void name_recovered(Set& set, const std::string& from, const std::string& to);

// What a file holds for read(): a FAT volume or several, an archive, or nothing but itself. Told by its
// bytes. A folder, and what cannot be opened, is `none`.
enum class Container { none, archive, volumes };
Container container_kind(const std::filesystem::path& path);
// The same of bytes in memory; of volumes only one at the very beginning is seen.
Container container_kind_of(std::string_view bytes);

// One volume of a stick, as far as it is known without reading its files.
struct SlotFile {
  std::string name;
  std::uint64_t size = 0;
  std::optional<std::int64_t> modified = std::nullopt;
};
struct Slot {
  std::size_t number = 0;    // from 1, of its place on the medium; a device's own display may begin at 0
  std::uint64_t offset = 0;  // of its boot sector, in bytes
  std::uint64_t size = 0;
  std::string label;
  std::optional<std::int64_t> label_time = std::nullopt;
  std::vector<SlotFile> files;
  std::vector<Deleted> deleted;
  std::uint64_t free_bytes = 0;
  bool full = false;  // as Set::volume_full
  std::vector<Flaw> flaws;
};
// The files of one slot as it was listed, without looking for the others: none where it is no volume any
// more. Error{input} as of read().
Set read_slot(const std::filesystem::path& path, const Slot& slot);
// Every FAT12 or FAT16 volume on an image or a block device, by scanning its first 4 GiB for boot sectors at
// every multiple of 512 bytes. A slot's number is that of its place: places without a volume count too, as an
// emulator counts them. Where volumes do not lie at equal distances, they are numbered in order. A boot
// sector inside another sound volume is data, not a slot; inside a volume whose own boot sector is lost, it
// is one. Empty when there is none. Error{input} when the medium cannot be opened.
std::vector<Slot> find_slots(const std::filesystem::path& path);

// A place of a stick where a slot may be and no volume is.
struct EmptyPlace {
  enum class Holds { nothing, data, unreadable };  // nothing: NUL bytes alone, or FF bytes alone
  std::size_t number = 0;                          // counted with the slots, from 1
  std::uint64_t offset = 0;
  Holds holds = Holds::nothing;
};

struct Stick {
  std::vector<Slot> slots;
  std::vector<EmptyPlace> empty;
  std::uint64_t spacing = 0;  // from one place to the next; 0 when the slots do not show it
  // Too few places have a volume to be sure of their distance, and so of the numbers.
  bool guessed = false;
};
// find_slots(), with the places before, between and behind the slots. Of a place without a volume only the
// sectors are read in which a volume has its boot sector, FATs and root folder.
Stick find_stick(const std::filesystem::path& path, const OnProgress& on_progress = {});

// A removable medium that is plugged in: a stick, a card in its reader, a floppy drive.
struct Plugged {
  std::filesystem::path path;  // "/dev/sdb"
  std::string identity;        // another one has another, and so has the same plugged in again
  std::uint64_t bytes = 0;
  std::string model;                    // as it calls itself, where it does
  std::vector<std::string> mounted_at;  // itself and its partitions
};
// As the system lists them (Linux: sysfs), sorted by path. None is opened. A disc (CD, DVD) is none of them.
std::vector<Plugged> plugged_in();
// An image, or a device that a person names as one of them; nullopt for what is neither. It is not opened.
std::optional<Plugged> medium_at(const std::filesystem::path& path);

// Writes a set into `folder`, which must be absent or empty (Error{refused} otherwise), syncs it,
// reads every file back and compares SHA-256; Error{store} when a disk fails or lies. File times are set
// to File::modified where there is one. On failure what was written is taken away again.
void write_folder(const Set& set, const std::filesystem::path& folder, const OnProgress& on_progress = {});

// --- FAT volumes and archives ----------------------------------------------------------------
//
// Names on a volume are 8.3 in capitals (ECMA-107): small letters are written as capitals, and any other name
// that is not 8.3 is refused, as are two that differ in case alone; none is ever changed. File times are
// File::modified by the clock on the wall, in steps of 2 s; a file without one gets none. All writing is read
// back and compared; Error{store} when a disk fails or lies. A set that does not fit: Error{refused} that
// says by how many bytes, and nothing is written.

// A name that a volume cannot hold, and the one that it has there.
struct ShortName {
  std::string name;
  std::string on_floppy;
};
// Gives each file and folder a name that a volume can hold: its own in capitals where that can be, else the
// first 8 letters and 3 of its ending, with '_' for what names cannot have, and a number where that is taken.
// Returns those whose names are others now.
std::vector<ShortName> shorten_names(Set& set);

struct WriteOptions {
  bool device = false;  // a block device may be written
  bool keep = true;     // write_slot: store the slot's old content first
  // Where the old content goes; empty: beside an image, and for a block device the current folder.
  std::filesystem::path keep_in = {};
  // write_slot: Target::digest of when the slot was shown; empty: whatever it holds is replaced.
  std::string seen = {};
  OnProgress on_progress = {};  // write_slot: of the bytes that are written
};

// Makes a 1.44 MB volume (80 cylinders, 2 sides, 18 sectors: ECMA-125) in a new file. Error{refused} when
// `path` is there already.
void write_image(const Set& set, const std::filesystem::path& path, const OnProgress& on_progress = {});

// What a volume has room for.
struct Capacity {
  std::uint64_t clusters = 2847;  // 1.44 MB: 2880 - 1 - 18 - 14 sectors, 1 sector a cluster (ECMA-107)
  std::uint32_t cluster_bytes = 512;
  std::size_t root_entries = 224;
};
// Shares a set out to as few volumes as best-fit decreasing finds; no file is split. Each set has the files
// of one volume. Error{refused} for a file too large for an empty volume, and for names as above.
std::vector<Set> plan_split(const Set& set, const Capacity& capacity = {});

// write_image for each part of plan_split, as NAME-1.img, NAME-2.img and so on for a `path` NAME.img. All or
// none. Returns the paths.
std::vector<std::filesystem::path> write_images(const Set& set, const std::filesystem::path& path,
                                                const OnProgress& on_progress = {});

// Replaces the files of one slot (or of a single volume: slot 1) by the set, and touches no byte outside it.
// The slot's boot sector, label and bad-cluster marks stay. Before that, unless asked otherwise, its old
// content is stored whole as NAME.slot-N.before-TIME.img and synced, so that whenever the writing is broken
// off, the old content can be read there. Returns the path of that file; empty when none was asked for.
// Broken off at any sector, the slot has its old files whole, or none and a flaw that says so, or the new
// ones whole: those are shown only once they were read back. To write it again is all that is to be done
// then. Error{refused} when the slot is not as in WriteOptions::seen, and nothing was written.
std::filesystem::path write_slot(const Set& set, const std::filesystem::path& path, std::size_t slot,
                                 const WriteOptions& options = {});

// What writing to a path would overwrite, to be shown to a person before it is done.
struct Target {
  bool exists = false;
  bool device = false;
  std::uint64_t bytes = 0;
  std::vector<Slot> slots;
  std::string digest;  // of all that the slot holds that was asked for
};
Target describe_target(const std::filesystem::path& path);
// The same, with the digest of one slot. Errors as write_slot's.
Target describe_target(const std::filesystem::path& path, std::size_t slot,
                       const OnProgress& on_progress = {});

// Makes a zip archive in a new file. Error{refused} when `path` is there already.
void write_archive(const Set& set, const std::filesystem::path& path, const OnProgress& on_progress = {});

}  // namespace keepway::media
