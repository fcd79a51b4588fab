#include "records/edit.h"

#include <gmock/gmock.h>
#include <rapidcheck.h>

#include <algorithm>
#include <random>
#include <variant>

namespace {

using namespace voltsill;

ParsedText parsed(std::string_view text) {
    ParsedText result = parse_toml(text, "in.toml");
    EXPECT_TRUE(result.problems.empty())
        << text << (result.problems.empty() ? "" : render(result.problems[0]));
    return result;
}

const Value& at(const Value& root, std::initializer_list<const char*> path) {
    const Value* value = &root;
    for (const char* name : path) value = &value->find(name)->value;
    return *value;
}

// ---- single edits, against texts written by hand

const char* const station =
    "# the station\n"
    "title = \"old\"   # what it is called\n"
    "\n"
    "[rails]  # supplies\n"
    "  logic = { volts = \"3.3 V\" }  # from the controller\n"
    "  usb.volts = \"5 V\"\n"
    "\n"
    "# links below\n"
    "[[links]]\n"
    "name = \"a\"\n"
    "\n"
    "[types.gauge.pins]\n"
    "x = 1 # last";

std::string edited(auto make) {
    const ParsedText text = parsed(station);
    return apply(*text.source, make(*text.source, text.root));
}
std::string with(std::string text, std::string_view from, std::string_view to) {
    const std::size_t begin = text.find(from);
    EXPECT_NE(begin, std::string::npos) << from;
    return text.replace(begin, from.size(), to);
}
using Edits = std::vector<TextEdit>;

TEST(Edit, ReplacesAValueAndKeepsItsComment) {
    EXPECT_EQ(edited([](const Source&, const Value& root) {
                  return Edits{replace_value(at(root, {"title"}), toml_text("new"))};
              }),
              with(station, "\"old\"", "\"new\""));
}

TEST(Edit, InsertsInTheFormOfTheTable) {
    EXPECT_EQ(edited([](const Source& s, const Value& root) {
                  return Edits{insert_after(s, root, *root.find("title"), {"ambient", "\"0..40 °C\""}),
                               append_entry(s, at(root, {"rails", "logic"}), {"limit", "1"}),
                               append_entry(s, at(root, {"rails", "usb"}), {"limit", "2"}),
                               append_entry(s, at(root, {"types"}), {"new key", "3"}),
                               append_entry(s, at(root, {"types", "gauge", "pins"}), {"y", "4"})};
              }),
              with(with(with(with(std::string(station) + "\ny = 4\n", "called\n",
                                  "called\nambient = \"0..40 °C\"\n"),
                             "\"3.3 V\" }", "\"3.3 V\", limit = 1 }"),
                        "\"5 V\"\n", "\"5 V\"\n  usb.limit = 2\n"),
                   "[types.gauge.pins]", "[types]\n\"new key\" = 3\n\n[types.gauge.pins]"));
}

TEST(Edit, AddsASectionBehindItsLike) {
    EXPECT_EQ(edited([](const Source& s, const Value& root) {
                  return Edits{add_section(s, root, {"links"}, true, {{"name", "\"b\""}}),
                               add_section(s, root, {"stock"}, false, {{"LVC 541 DIP-20", "3"}})};
              }),
              with(std::string(station) + "\n\n[stock]\n\"LVC 541 DIP-20\" = 3\n", "name = \"a\"\n",
                   "name = \"a\"\n\n[[links]]\nname = \"b\"\n"));
}

TEST(Edit, RemovesAnEntryWithItsLineComment) {
    EXPECT_EQ(
        edited([](const Source& s, const Value& root) { return remove_entry(s, root, *root.find("title")); }),
        with(station, "title = \"old\"   # what it is called\n", ""));
    EXPECT_EQ(edited([](const Source& s, const Value& root) {
                  return remove_entry(s, at(root, {"rails"}), *at(root, {"rails"}).find("usb"));
              }),
              with(station, "  usb.volts = \"5 V\"\n", ""));
    EXPECT_EQ(
        edited([](const Source& s, const Value& root) { return remove_entry(s, root, *root.find("links")); }),
        with(station, "[[links]]\nname = \"a\"\n", ""));
    EXPECT_EQ(
        edited([](const Source& s, const Value& root) { return remove_entry(s, root, *root.find("rails")); }),
        with(station,
             "[rails]  # supplies\n  logic = { volts = \"3.3 V\" }  # from the controller\n"
             "  usb.volts = \"5 V\"\n\n",
             ""));
}

TEST(Edit, RemovesFromBracesWithTheRightComma) {
    const auto without = [](std::string_view text, const char* name) {
        const ParsedText source = parsed(text);
        const Value& table = source.root.find("t")->value;
        return apply(*source.source, remove_entry(*source.source, table, *table.find(name)));
    };
    EXPECT_EQ(without("t = { a = 1, b = 2, c = 3 }", "a"), "t = { b = 2, c = 3 }");
    EXPECT_EQ(without("t = { a = 1, b = 2, c = 3 }", "b"), "t = { a = 1, c = 3 }");
    EXPECT_EQ(without("t = { a = 1, b = 2, c = 3 }", "c"), "t = { a = 1, b = 2 }");
    EXPECT_EQ(without("t = {a = 1}", "a"), "t = {}");
    EXPECT_EQ(without("t = { a.x = 1, b = 2, a.y = 3 }", "a"), "t = { b = 2 }");
    EXPECT_EQ(without("t = { b = 2, a.x = 1, a.y = 3 }", "a"), "t = { b = 2 }");
}

TEST(Edit, PutsAFirstKeyAboveAllHeaders) {
    const auto grown = [](std::string_view text) {
        const ParsedText source = parsed(text);
        return apply(*source.source, {append_entry(*source.source, source.root, {"k", "1"})});
    };
    EXPECT_EQ(grown(""), "k = 1\n");
    EXPECT_EQ(grown("# only words"), "# only words\nk = 1\n");
    EXPECT_EQ(grown("# file\r\n\r\n# of a\r\n[a.b]\r\n[a]\r\n"),
              "# file\r\n\r\nk = 1\r\n\r\n# of a\r\n[a.b]\r\n[a]\r\n");
    EXPECT_EQ(grown("\xEF\xBB\xBF[a]"), "\xEF\xBB\xBFk = 1\n\n[a]");
}

// ---- any edit of any document, against a model that knows no text

struct Model;
using Members = std::vector<std::pair<std::string, Model>>;
enum class Form { dotted, braces, section };
struct Model {
    std::string leaf;  // TOML of a value that is no table; empty: a table
    Form form = Form::section;
    Members members;
    bool operator==(const Model& other) const { return leaf == other.leaf && members == other.members; }
};

Model model_of(const Source& source, const Value& value) {
    Model model;
    if (!value.is(ValueKind::table)) model.leaf = source.at(value.spot);
    for (const Entry& entry : value.entries)
        model.members.emplace_back(entry.name, model_of(source, entry.value));
    return model;
}

class Writer {
  public:
    explicit Writer(unsigned seed) : random_(seed) { line_end_ = chance(3) ? "\r\n" : "\n"; }

    bool chance(int one_in) { return std::uniform_int_distribution(0, one_in - 1)(random_) == 0; }
    int below(int n) { return std::uniform_int_distribution(0, n - 1)(random_); }

    std::string leaf() {
        static const char* const leaves[] = {"1",
                                             "\"3.3 V ± 3 %\"",
                                             "'raw # no comment'",
                                             "true",
                                             "[1, [2, 3], {a = 4}]",
                                             "1979-05-27",
                                             "\"\\\"é漢\\\"\"",
                                             "-0.5e3",
                                             "[]",
                                             "\"\"\"q\"\"\"\""};
        return leaves[below(10)];
    }
    std::string name() {
        static const char* const parts[] = {"a", "rail", "LVC 541", "é", "x.y", "-", "0", "\"quoted\""};
        return parts[below(8)] + std::to_string(++names_);
    }
    Model table(int depth, Form form) {
        Model result{.leaf = {}, .form = form, .members = {}};
        // Pairs stand before sections; a dotted table needs a member to exist.
        const int pairs = below(4) + (form == Form::dotted ? 1 : 0);
        for (int i = 0; i < pairs; ++i) {
            const bool nests = depth > 0 && chance(3);
            result.members.emplace_back(name(),
                                        nests ? table(depth - 1, chance(2) ? Form::dotted : Form::braces)
                                              : Model{.leaf = leaf(), .members = {}});
        }
        if (form == Form::section && depth > 0)
            for (int i = below(4); i > 0; --i) result.members.emplace_back(name(), table(depth - 1, form));
        return result;
    }

    std::string write(const Model& root) {
        text_.clear();
        if (chance(4)) text_ = "\xEF\xBB\xBF";
        filler();
        section(root, "");
        if (chance(4)) text_ += "# the end without a line end";
        return text_;
    }

  private:
    void end_line() { text_ += (chance(3) ? "  # note " + std::to_string(++names_) : "") + line_end_; }
    void filler() {
        if (chance(3)) text_ += "# line " + std::to_string(++names_) + line_end_;
        if (chance(3)) text_ += line_end_;
    }
    void section(const Model& table, const std::string& path) {
        for (const auto& [key, value] : table.members)
            if (!value.leaf.empty() || value.form != Form::section) pairs(toml_key(key), value);
        for (const auto& [key, value] : table.members) {
            if (value.leaf.empty() && value.form == Form::section) {
                const std::string inner = path + (path.empty() ? "" : ".") + toml_key(key);
                const bool own_pairs = std::ranges::any_of(value.members, [](const auto& member) {
                    return !member.second.leaf.empty() || member.second.form != Form::section;
                });
                filler();
                if (own_pairs || value.members.empty() || chance(2)) {
                    text_ += (chance(4) ? "  [ " : "[") + inner + "]";
                    end_line();
                }
                section(value, inner);
            }
        }
    }
    void pairs(const std::string& key, const Model& value) {
        if (!value.leaf.empty() || value.form == Form::braces) {
            filler();
            text_ += (chance(4) ? "\t" : "") + key + (chance(4) ? "=" : " = ") + inline_value(value);
            end_line();
            return;
        }
        for (const auto& [name, member] : value.members)
            pairs(key + (chance(5) ? " . " : ".") + toml_key(name), member);
    }
    void inner_pairs(const std::string& key, const Model& value, std::vector<std::string>& out) {
        if (!value.leaf.empty() || value.form == Form::braces)
            out.push_back(key + " = " + inline_value(value));
        else
            for (const auto& [name, member] : value.members)
                inner_pairs(key + '.' + toml_key(name), member, out);
    }
    std::string inline_value(const Model& value) {
        if (!value.leaf.empty()) return value.leaf;
        std::vector<std::string> members;
        for (const auto& [key, member] : value.members) inner_pairs(toml_key(key), member, members);
        std::string result = chance(2) ? "{ " : "{";
        for (const std::string& member : members)
            result += (&member == &members.front() ? "" : ", ") + member;
        return result + "}";
    }

    std::mt19937 random_;
    std::string line_end_, text_;
    int names_ = 0;
};

struct Pair {
    Model* model;
    const Value* value;
};
void all_tables(Model& model, const Value& value, std::vector<Pair>& out) {
    if (!model.leaf.empty()) return;
    out.push_back({&model, &value});
    for (auto& [name, member] : model.members) all_tables(member, value.find(name)->value, out);
}

std::vector<std::string> comments(const std::string& text) {
    std::vector<std::string> result;
    for (std::size_t i = text.find("# "); i != std::string::npos; i = text.find("# ", i + 1))
        if (!text.substr(i).starts_with("# no comment"))
            result.push_back(text.substr(i, text.find_first_of("\r\n", i) - i));
    return result;
}

bool made_of_sections(const Model& model) { return model.leaf.empty() && model.form == Form::section; }

/// Applies a random edit to text and model alike; what the text says afterwards.
void one_edit(Writer& any, Model& model, std::string& text) {
    const ParsedText before = parse_toml(text, "in.toml");
    if (!before.problems.empty()) RC_FAIL(render(before.problems[0]));
    const Source& source = *before.source;
    std::vector<Pair> tables;
    all_tables(model, before.root, tables);
    const auto [table, value] = tables[static_cast<std::size_t>(any.below(static_cast<int>(tables.size())))];
    Members& members = table->members;
    const auto first_section = [&] {
        return std::ranges::find_if(members,
                                    [](const auto& member) { return made_of_sections(member.second); });
    };
    const std::size_t pick =
        members.empty() ? 0 : static_cast<std::size_t>(any.below(static_cast<int>(members.size())));
    const NewEntry fresh{any.name(), any.leaf()};
    const std::pair<std::string, Model> added{fresh.name, Model{.leaf = fresh.toml, .members = {}}};
    std::vector<TextEdit> edits;
    bool removes = false;
    switch (members.empty() ? 1 : any.below(5)) {
        case 0: {  // replace
            if (made_of_sections(members[pick].second) || members[pick].second.form == Form::dotted) return;
            const bool is_leaf = !members[pick].second.leaf.empty();
            edits = {replace_value(value->find(members[pick].first)->value, fresh.toml)};
            removes = !is_leaf;
            members[pick].second = added.second;
            break;
        }
        case 1:
            edits = {append_entry(source, *value, fresh)};
            members.insert(first_section(), added);
            break;
        case 2: {
            edits = {insert_after(source, *value, *value->find(members[pick].first), fresh)};
            const bool behind = !made_of_sections(members[pick].second);
            members.insert(behind ? members.begin() + static_cast<long>(pick) + 1 : first_section(), added);
            break;
        }
        case 3:
            // A dotted or implied table is gone with its last member.
            if (members.size() == 1 && table != &model) return;
            edits = remove_entry(source, *value, *value->find(members[pick].first));
            members.erase(members.begin() + static_cast<long>(pick));
            removes = true;
            break;
        default: {
            edits = {add_section(source, before.root, {fresh.name, "in ner"}, false, {fresh})};
            Model section{.members = {{"in ner", Model{.members = {added}}}}};
            model.members.emplace_back(fresh.name, section);
        }
    }
    const std::string after = apply(source, edits);
    const ParsedText again = parse_toml(after, "out.toml");
    if (!again.problems.empty()) RC_FAIL(text + "\n=>\n" + after + render(again.problems[0]));
    if (!(model_of(*again.source, again.root) == model)) RC_FAIL(text + "\n=>\n" + after);
    if (!removes) RC_ASSERT(comments(after) == comments(text));
    RC_ASSERT(after.starts_with("\xEF\xBB\xBF") == text.starts_with("\xEF\xBB\xBF"));
    if (text.find("\r\n") != std::string::npos)
        RC_ASSERT(std::ranges::count(after, '\n') == std::ranges::count(after, '\r'));
    text = after;
}

TEST(Edit, AnyEditGivesTheIntendedTreeAndKeepsComments) {
    const bool good = rc::check("edits round trip", [] {
        Writer any(*rc::gen::arbitrary<unsigned>());
        Model model = any.table(3, Form::section);
        std::string text = any.write(model);
        const ParsedText first = parse_toml(text, "in.toml");
        if (!first.problems.empty()) RC_FAIL(render(first.problems[0]));
        if (!(model_of(*first.source, first.root) == model)) RC_FAIL("written wrong:\n" + text);
        for (int i = 0; i < 10; ++i) one_edit(any, model, text);
    });
    EXPECT_TRUE(good);
}

TEST(Edit, TextsAndKeysReadBack) {
    const bool good = rc::check("texts read back", [](const std::string& raw) {
        std::string text;  // any bytes, made UTF-8 by leaving out what is not ASCII
        for (const char c : raw)
            if (c > 0) text += c;
        text += "é\"\\\x7F\n";
        const ParsedText again = parse_toml(toml_key(text) + " = " + toml_text(text), "in.toml");
        RC_ASSERT(again.problems.empty());
        RC_ASSERT(again.root.entries.at(0).name == text);
        RC_ASSERT(again.root.entries.at(0).value.text == text);
    });
    EXPECT_TRUE(good);
}

}  // namespace
