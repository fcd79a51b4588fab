/// A type of one name in one namespace is defined in one header: two would be one to the linker, and
/// vectors of the one would run the code of the other (one-definition rule, ISO/IEC 14882, [basic.def.odr]).
#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <map>
#include <regex>
#include <set>
#include <sstream>

namespace {

std::string bytes_of(const std::filesystem::path& path) {
    std::ifstream in(path, std::ios::binary);
    std::stringstream text;
    text << in.rdbuf();
    return text.str();
}

/// Without comments and string literals, in which braces mean nothing.
std::string bare(std::string text) {
    std::string out;
    for (std::size_t k = 0; k < text.size(); ++k) {
        if (text.compare(k, 2, "//") == 0) {
            k = std::min(text.find('\n', k), text.size() - 1);
            out += '\n';
        } else if (text[k] == '"') {
            while (++k < text.size() && text[k] != '"') k += text[k] == '\\';
        } else {
            out += text[k];
        }
    }
    return out;
}

/// "voltsill::drawing::Symbol" for every type that a header defines at namespace scope.
std::set<std::string> types_of(const std::string& text) {
    static const std::regex word(
        R"(namespace\s*([\w:]*)\s*\{)"
        R"(|(?:struct|class|enum)\s+(?:class\s+)?(\w+)(?:\s+final)?\s*(?::\s[\w\s:,<>]*)?\{)"
        R"(|using\s+(\w+)\s*=|[{}])");
    std::set<std::string> types;
    std::vector<std::pair<bool, std::string>> open;  // a namespace or not, and its name
    for (std::sregex_iterator at(text.begin(), text.end(), word), end; at != end; ++at) {
        const std::smatch& m = *at;
        const std::string type = m[2].matched ? m[2].str() : m[3].str();
        std::string space;
        bool outside = true;
        for (const auto& [is_space, name] : open) outside = outside && is_space, space += name + "::";
        if (!type.empty() && outside) types.insert(space + type);
        if (m.str().front() == '}') {
            if (!open.empty()) open.pop_back();
        } else if (m.str().back() == '{') {
            open.emplace_back(m[1].matched, m[1].str());
        }
    }
    return types;
}

TEST(TypeNames, AreDefinedInOneHeader) {
    std::map<std::string, std::string> header_of;
    std::size_t headers = 0;
    for (const auto& entry : std::filesystem::recursive_directory_iterator(VOLTSILL_ROOT "/src")) {
        if (entry.path().extension() != ".h") continue;
        ++headers;
        for (const std::string& type : types_of(bare(bytes_of(entry.path())))) {
            const auto [at, fresh] = header_of.emplace(type, entry.path().filename().string());
            EXPECT_TRUE(fresh) << type << " is in " << at->second << " and in " << entry.path().filename();
        }
    }
    EXPECT_GT(headers, 150u);
    EXPECT_TRUE(header_of.contains("voltsill::Wiring") && header_of.contains("voltsill::drawing::Symbol"));
}

TEST(TypeNames, OfTheSameNameAreFound) {
    const auto types = types_of(bare("namespace a { // struct No {\nstruct B { struct C {}; };\nenum class D {};\n"
                                     "using E = int; namespace f { class G final : public B {}; } }"));
    EXPECT_EQ(types, (std::set<std::string>{"a::B", "a::D", "a::E", "a::f::G"}));
}

}  // namespace
