/// docs/checked-against.md is made from the tests beside this file: what each holds against what.
/// Run with VOLTSILL_UPDATE=1 to write it anew.
#include <gtest/gtest.h>

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <regex>
#include <set>
#include <sstream>

namespace {
namespace fs = std::filesystem;

std::string file(const fs::path& path) {
    std::ifstream in(path, std::ios::binary);
    std::stringstream text;
    text << in.rdbuf();
    return text.str();
}

/// Numbers of documents as publishers write them, and the standards' series.
const std::regex document(
    R"((S(CHS|CLS|CES|DLS|CAS|CBS|CBA|CEA|LVA|DYU|LLA)[0-9]{3,4}[A-Z]{0,2}|UM10204|IEEE Std [0-9]+(\.[0-9]+)?(-[0-9]{4})?|AN[0-9]{3,5}|JESD[0-9]+[-0-9A-Z.]*|IEC [0-9]+(-[0-9]+)*(:[0-9]{4})?|JEP[0-9]+|ANSI/EIA-656-B|DS[0-9]{4,6}[A-Z]?|DocID[0-9]+|PICLIST [0-9]{4}|data sheet [A-Z0-9/]+( Rev [0-9]+)?|CD40[0-9A-Z/]+|Statistics in Medicine [0-9]+|common practice))");

std::string joined(const std::set<std::string>& words) {
    std::string out;
    for (const std::string& w : words) out += (out.empty() ? "" : ", ") + w;
    return out;
}

std::string cell(std::string text) {
    text = std::regex_replace(text, std::regex(R"(\|)"), "\\|");
    return std::regex_replace(text, std::regex(R"(\s+)"), " ");
}

/// The comment lines that end right before `at`.
std::string comment_before(const std::string& text, size_t at) {
    std::vector<std::string> lines;
    while (at > 0) {
        const size_t begin = text.rfind('\n', at - 2) == std::string::npos ? 0 : text.rfind('\n', at - 2) + 1;
        std::string line = text.substr(begin, at - begin);
        line.erase(0, line.find_first_not_of(' ') == std::string::npos ? 0 : line.find_first_not_of(' '));
        if (!line.starts_with("//")) break;
        line.erase(0, line.find_first_not_of("/ "));
        lines.insert(lines.begin(), line);
        at = begin;
    }
    std::string out;
    for (const std::string& l : lines) out += l;
    while (!out.empty() && (out.back() == '\n' || out.back() == ' ')) out.pop_back();
    return out;
}

std::string table_of(const fs::path& path) {
    const std::string text = file(path);
    const std::regex test(R"(\nTEST\((\w+), (\w+)\))");
    std::string out;
    size_t from = 0;
    for (std::sregex_iterator at(text.begin(), text.end(), test), end; at != end; ++at) {
        const size_t begin = static_cast<size_t>(at->position()) + 1,
                     close = std::min(text.find("\n}\n", begin), text.size());
        const std::string segment = text.substr(from, close - from);
        from = close;
        std::set<std::string> documents;
        for (std::sregex_iterator d(segment.begin(), segment.end(), document); d != end; ++d)
            documents.insert(d->str());
        if (documents.empty()) continue;  // a law or an invariant, not a printed figure
        const bool memory = segment.find("memory") != std::string::npos,
                   read = segment.find("Known::read") != std::string::npos;
        std::string name = (*at)[2].str();
        name = std::regex_replace(name, std::regex(R"(([a-z0-9])([A-Z]))"), "$1 $2");
        out += "| " + name + " | " + cell(comment_before(text, begin)) + " | " + cell(joined(documents)) +
               " | " + (memory ? read ? "some from memory" : "from memory, in part or whole" : "read") +
               " |\n";
    }
    return out;
}

TEST(CheckedAgainst, TableIsUpToDate) {
    const fs::path root = VOLTSILL_ROOT;
    std::set<fs::path> files;
    for (const auto& entry : fs::directory_iterator(root / "tests" / "published"))
        if (entry.path().extension() == ".cpp" && entry.path().stem() != "checked_against")
            files.insert(entry.path());
    std::string made =
        "# Checked against\n\nMade from `tests/published/` by its own test; do not edit. Each row is a test "
        "that holds figures against\n"
        "printed sources, named beside every figure in the test. \"From memory\" means that the source was "
        "not at hand\nwhen the figure was typed.\n";
    for (const fs::path& path : files)
        if (const std::string table = table_of(path); !table.empty())
            made += "\n## " + path.filename().string() +
                    "\n\n| what | note | documents | certainty |\n|---|---|---|---|\n" + table;
    EXPECT_GT(std::ranges::count(made, '\n'), 30) << "the tests name their sources";
    const fs::path kept = root / "docs" / "checked-against.md";
    if (const char* update = std::getenv("VOLTSILL_UPDATE"); update && *update == '1')
        std::ofstream(kept, std::ios::binary) << made;
    EXPECT_EQ(file(kept), made) << "run this test with VOLTSILL_UPDATE=1";
}

}  // namespace
