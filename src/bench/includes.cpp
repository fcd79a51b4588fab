/// Part files that a bench includes, and those that they include in turn.
#include <algorithm>
#include <filesystem>
#include <set>

#include "bench/bench_work.h"
#include "quantity/scan.h"

namespace voltsill {
namespace {

constexpr std::size_t deepest_include = 8;
constexpr std::size_t most_includes = 64;

/// Part files from the leaves up: a file may use what the files that it includes describe.
class Including {
  public:
    Including(const std::string& bench, const Includer& include, BenchTypes& out)
        : folder_(std::filesystem::path(bench).parent_path()), include_(include), out_(out) {
        chain_.push_back(std::filesystem::path(bench).filename().generic_string());
    }

    /// The files named in a file of `reader`; paths count from the folder of the bench.
    void add_all(const std::vector<Text>& texts, Reader& reader) {
        for (const Text& text : texts)
            if (text.at) add(text, reader);
    }

    Catalogue catalogue = Catalogue::built_in();

  private:
    std::string beside(const std::string& path) const {
        const auto parent = std::filesystem::path(chain_.back()).parent_path();
        return (parent / std::filesystem::path(path)).lexically_normal().generic_string();
    }

    void add(const Text& text, Reader& reader) {
        const auto refuse = [&](const char* code, std::string message, std::string expected) {
            out_.missing = true;
            reader.error(text.at->spot, code, std::move(message), std::move(expected));
        };
        if (text.empty() || text.text.find('\0') != std::string::npos)
            return refuse("include-not-found", "this names no file", "the path of a part file");
        const std::string path = beside(text.text);
        if (std::ranges::find(chain_, path) != chain_.end()) {
            std::string words;
            for (const std::string& name : chain_) words += name + " includes ";
            return refuse("include-cycle", "files that include each other: " + words + path,
                          "part files that do not lead back");
        }
        if (done_.contains(path)) return;
        if (chain_.size() > deepest_include || done_.size() >= most_includes)
            return refuse("too-many-includes", "too many part files include each other",
                          "at most " + std::to_string(most_includes) + " files, " +
                              std::to_string(deepest_include) + " deep");
        done_.insert(path);
        const std::optional<std::string> bytes = include_ ? include_(path) : std::nullopt;
        if (!bytes)
            return refuse("include-not-found", "the part file " + in_quotes(path) + " cannot be read",
                          "the path of a part file, from the folder of the file that names it");
        read_file(*bytes, path);
    }

    void read_file(const std::string& bytes, const std::string& path) {
        const std::string shown = (folder_ / path).generic_string();
        ParsedText parsed = parse_toml(bytes, shown);
        parsed.problems.clear();  // with_file tells them
        if (parsed.root.damaged) out_.missing = true;
        if (const Entry* types = parsed.root.find("types"))
            for (const Entry& type : types->value.entries) out_.described.insert(type.name);
        Reader reader(parsed);
        chain_.push_back(path);
        add_all(texts_in(parsed.root), reader);
        chain_.pop_back();
        take(reader.take());
        Problems problems;
        catalogue = catalogue.with_file(bytes, shown, problems);
        take(std::move(problems));
    }

    /// The paths in `include`; entries that are no text are reported by with_file.
    static std::vector<Text> texts_in(const Value& root) {
        std::vector<Text> texts;
        const Entry* entry = root.find("include");
        if (!entry) return texts;
        if (entry->value.is(ValueKind::string)) texts.push_back({entry->value.text, &entry->value});
        for (const Value& item : entry->value.items)
            if (item.is(ValueKind::string)) texts.push_back({item.text, &item});
        return texts;
    }

    void take(Problems problems) {
        out_.problems.insert(out_.problems.end(), std::make_move_iterator(problems.begin()),
                      std::make_move_iterator(problems.end()));
    }

    std::filesystem::path folder_;
    const Includer& include_;
    BenchTypes& out_;
    std::vector<std::string> chain_;  ///< the bench, and the files on the way to the one being read
    std::set<std::string> done_;
};

}  // namespace

BenchTypes bench_types(const BenchFile& file, const std::string& name, const Includer& include, Reader& reader) {
    BenchTypes out;
    if (file.include.empty() && file.types.empty()) {
        out.catalogue = {std::shared_ptr<const void>(), &Catalogue::built_in()};  // owns nothing: it lives on
        return out;
    }
    Including including(name, include, out);
    including.add_all(file.include, reader);
    for (const auto& type : file.types) out.described.insert(type.name);
    out.catalogue = std::make_shared<const Catalogue>(
        file.types.empty() ? std::move(including.catalogue) : including.catalogue.with_types(file.types, reader));
    return out;
}

void drop_what_is_missing(Problems& problems) {
    std::erase_if(problems, [](const Problem& p) {
        return p.code == "unknown-type" || p.code == "unknown-trait" || p.code == "unknown-function" ||
               p.code == "unknown-stock";
    });
}

}  // namespace voltsill
