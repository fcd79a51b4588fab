/// docs/checked-against.md is made from the tests beside this file: what each holds against what.
///
/// A test says so in the comment right before it: first what is held, in a sentence or two, then a line for
/// every document, with its table or section and whether it was at hand:
///
///     // Source: SLVA689 (Feb 2015); section 4, example; read
///     // Source: no document; ln 9 of a single pole; common practice
///     // Source: rows; recommended operating conditions
///
/// The last takes documents and certainties from the rows above it that end in `"SCLS020H", Known::read}`. A
/// test that holds no printed figure begins its comment with "Law:".
///
/// Run with VOLTSILL_UPDATE=1 to write the table anew.
#include <gtest/gtest.h>

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <map>
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

struct Cited {
    std::string document, table, certainty;
};
struct Check {
    std::string name, note;
    std::vector<Cited> sources;
    std::vector<std::string> faults;
};

std::vector<std::string> split(const std::string& text) {
    std::vector<std::string> out;
    std::stringstream stream(text);
    for (std::string piece; std::getline(stream, piece, ';');) {
        piece.erase(0, piece.find_first_not_of(' '));
        out.push_back(piece);
    }
    return out;
}

/// The comment lines that end right before `at`, without their slashes.
std::vector<std::string> comment_before(const std::string& text, std::size_t at) {
    std::vector<std::string> lines;
    while (at > 1) {
        const std::size_t before = text.rfind('\n', at - 2),
                          begin = before == std::string::npos ? 0 : before + 1;
        std::string line = text.substr(begin, at - begin - 1);
        if (!line.starts_with("//")) break;
        line.erase(0, line.find_first_not_of("/ "));
        lines.insert(lines.begin(), line);
        at = begin;
    }
    return lines;
}

/// Documents of the rows in `segment`, by certainty.
std::map<std::string, std::set<std::string>> documents_of_rows(const std::string& segment) {
    std::map<std::string, std::set<std::string>> out;
    const std::regex row(R"re("([^"]*)",\s*Known::(read|memory)\b)re");
    for (std::sregex_iterator at(segment.begin(), segment.end(), row), end; at != end; ++at)
        out[(*at)[2] == "read" ? "read" : "from memory"].insert((*at)[1].str());
    return out;
}

void take_source(Check& check, const std::string& line, const std::string& segment) {
    static const std::set<std::string> certainties{"read", "from memory", "common practice"};
    const std::vector<std::string> pieces = split(line);
    if (pieces.size() == 2 && pieces[0] == "rows") {
        const auto rows = documents_of_rows(segment);
        if (rows.empty()) check.faults.push_back("no rows with a certainty above it");
        for (const auto& [certainty, documents] : rows) {
            std::string all;
            for (const std::string& d : documents) {
                if (d.empty()) check.faults.push_back("a row without a document");
                all += (all.empty() ? "" : "; ") + d;
            }
            check.sources.push_back({all, pieces[1], certainty});
        }
    } else if (pieces.size() == 3 && certainties.contains(pieces[2]) && !pieces[0].empty() &&
               !pieces[1].empty()) {
        check.sources.push_back({pieces[0], pieces[1], pieces[2]});
    } else {
        check.faults.push_back("not document; table; certainty: " + line);
    }
}

Check check_of(const std::string& name, const std::vector<std::string>& comment, const std::string& segment) {
    Check check{.name = std::regex_replace(name, std::regex(R"(([a-z0-9])([A-Z]))"), "$1 $2")};
    for (const std::string& line : comment)
        if (line.starts_with("Source: "))
            take_source(check, line.substr(8), segment);
        else
            check.note += (check.note.empty() ? "" : " ") + line;
    const bool law = check.note.starts_with("Law: ");
    if (check.note.empty()) check.faults.push_back("nothing says what is held");
    if (law != check.sources.empty()) check.faults.push_back("a source, or a law that needs none");
    return check;
}

std::vector<Check> checks_of(const std::string& text) {
    const std::regex test(R"(\nTEST\((\w+), (\w+)\))");
    std::vector<Check> out;
    std::size_t from = 0;
    for (std::sregex_iterator at(text.begin(), text.end(), test), end; at != end; ++at) {
        const std::size_t begin = static_cast<std::size_t>(at->position()) + 1,
                          close = std::min(text.find("\n}\n", begin), text.size());
        out.push_back(check_of((*at)[2].str(), comment_before(text, begin), text.substr(from, close - from)));
        from = close;
    }
    return out;
}

std::string cell(const std::string& text) { return std::regex_replace(text, std::regex(R"(\|)"), "\\|"); }

std::string table_of(const std::vector<Check>& checks) {
    std::string out;
    for (const Check& check : checks)
        for (std::size_t k = 0; k < check.sources.size(); ++k) {
            const Cited& c = check.sources[k];
            out += "| " + (k == 0 ? check.name : std::string()) + " | " +
                   (k == 0 ? cell(check.note) : std::string()) + " | " + cell(c.document) + " | " +
                   cell(c.table) + " | " + c.certainty + " |\n";
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
        "# Checked against\n\nMade from `tests/published/` by its own test; do not edit. Each row is a "
        "document that a test holds\n"
        "figures against. The letter that ends the number of a data sheet is its revision; where there is "
        "none, the revision\n"
        "was not noted. *Read*: the document was at hand when the figure was typed. *From memory*: it was "
        "not, or only\n"
        "another that quotes it. *Common practice*: there is no document. Every other figure of the program "
        "names its own\nsource and certainty: `voltsill parts show NAME`.\n";
    for (const fs::path& path : files) {
        const std::vector<Check> checks = checks_of(file(path));
        for (const Check& check : checks)
            for (const std::string& fault : check.faults)
                ADD_FAILURE() << path.filename() << ", " << check.name << ": " << fault;
        if (const std::string table = table_of(checks); !table.empty())
            made += "\n## " + path.filename().string() +
                    "\n\n| what | note | document and revision | table or section | certainty "
                    "|\n|---|---|---|---|---|\n" +
                    table;
    }
    EXPECT_GT(std::ranges::count(made, '\n'), 50) << "the tests name their sources";
    const fs::path kept = root / "docs" / "checked-against.md";
    if (const char* update = std::getenv("VOLTSILL_UPDATE"); update && *update == '1')
        std::ofstream(kept, std::ios::binary) << made;
    EXPECT_EQ(file(kept), made) << "run this test with VOLTSILL_UPDATE=1";
}

TEST(CheckedAgainst, RefusesACheckThatNamesNoDocumentTableOrCertainty) {
    const auto faults = [](const std::string& comment, const std::string& rows = "") {
        return checks_of(rows + "\n" + comment + "TEST(A, B) {\n}\n").at(0).faults.size();
    };
    EXPECT_EQ(faults("// It holds.\n// Source: SLVA689 (Feb 2015); section 4; read\n"), 0u);
    EXPECT_EQ(faults("// It holds.\n// Source: document 683794; table 1; from memory\n"), 0u);
    EXPECT_EQ(faults("// It holds.\n// Source: rows; table 1\n", "{1, \"683794\", Known::read},"), 0u);
    EXPECT_EQ(faults("// Law: it holds.\n"), 0u);
    EXPECT_GT(faults(""), 0u);
    EXPECT_GT(faults("// It holds.\n"), 0u);
    EXPECT_GT(faults("// Source: SLVA689; section 4; read\n"), 0u);
    EXPECT_GT(faults("// It holds.\n// Source: SLVA689; read\n"), 0u);
    EXPECT_GT(faults("// It holds.\n// Source: SLVA689; section 4; second hand\n"), 0u);
    EXPECT_GT(faults("// It holds.\n// Source: rows; table 1\n", "{1, \"683794\"},"), 0u);
}

}  // namespace
