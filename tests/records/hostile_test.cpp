// Texts that no one would write by hand: nothing may crash, hang or point outside of the text.
#include <gmock/gmock.h>

#define TOML_HEADER_ONLY 0
#define TOML_SHARED_LIB 1
#include <toml++/toml.h>

#include <random>

#include "records/edit.h"
#include "records/string_literal.h"
#include "sample.h"
#include "support/how_many.h"

namespace {

using namespace voltsill;

const char* const seed_text =
    "title = \"Rain-garden\"  # é\n"
    "[rails]\n"
    "logic = { volts = \"3.3 V ± 3 %\", limit = \"300 mA\", pins = [\"A\",\n  'B'] }\n"
    "usb.volts = \"4.75..5.25 V\"\n"
    "[[spare]]\n"
    "volts = \"\"\"\n12 \\\n  V\"\"\"\n"
    "count = 3\r\n"
    "[[spare]]\n"
    "volts = \"\\u0035 V\"\n"
    "weight = 1e0\n"
    "[box]\n"
    "inner.\"x y\".title = '漢'\n"
    "inner.b = { inner = { c = {} } }\n"
    "when = 1979-05-27T07:32:00Z\n";

std::string mutated(std::mt19937& random) {
    static const char* const pieces[] = {"[",        "]",       "{",  "}", "\"",       "\"\"\"",
                                         "'''",      "=",       ".",  ",", "\n",       "\\",
                                         "#",        "[[x]]\n", "\r", "é", "\xF0\x9F", "\x01",
                                         "a = 1\n",  "\\u12",   "-",  " ", "spare",    "title = \"b\"\n",
                                         "[rails]\n"};
    std::string text = seed_text;
    for (int n = std::uniform_int_distribution(1, 4)(random); n > 0; --n) {
        const std::size_t at = std::uniform_int_distribution<std::size_t>(0, text.size())(random);
        const std::size_t length = std::uniform_int_distribution<std::size_t>(0, 6)(random);
        switch (std::uniform_int_distribution(0, 3)(random)) {
            case 0:
                text.erase(at, length);
                break;
            case 1:
                text.insert(at, pieces[std::uniform_int_distribution(0, 24)(random)]);
                break;
            case 2:
                text.insert(at,
                            text.substr(std::uniform_int_distribution<std::size_t>(0, text.size())(random),
                                        4 * length));
                break;
            default:
                if (at < text.size())
                    text[at] = static_cast<char>(std::uniform_int_distribution(0, 255)(random));
        }
    }
    return text;
}

void check_spots(const Source& source, const Value& value) {
    ASSERT_LE(value.spot.begin, value.spot.end);
    ASSERT_LE(value.spot.end, source.text().size());
    if (value.form != TableForm::root) {
        ASSERT_EQ(source.spot(value.spot.begin, value.spot.end), value.spot);
    }
    for (const Entry& entry : value.entries) {
        ASSERT_EQ(source.spot(entry.key.begin, entry.key.end), entry.key);
        check_spots(source, entry.value);
    }
    for (const Value& item : value.items) check_spots(source, item);
    if (value.is(ValueKind::string)) {
        ASSERT_LT(source_offset(source, value, value.text.size()), value.spot.end);
    }
}

/// The tree holds what the library alone reads from the same text: nothing lost, nothing added.
bool same(const Value& ours, const toml::node& theirs) {
    switch (ours.kind) {
        case ValueKind::table: {
            const toml::table* table = theirs.as_table();
            return table && table->size() == ours.entries.size() &&
                   std::ranges::all_of(ours.entries, [&](const Entry& entry) {
                       const toml::node* member = table->get(entry.name);
                       return member && same(entry.value, *member);
                   });
        }
        case ValueKind::array: {
            const toml::array* array = theirs.as_array();
            if (!array || array->size() != ours.items.size()) return false;
            for (std::size_t i = 0; i < ours.items.size(); ++i)
                if (!same(ours.items[i], *array->get(i))) return false;
            return true;
        }
        case ValueKind::string:
            return theirs.value<std::string>() == ours.text;
        case ValueKind::integer:
            return theirs.value<std::int64_t>() == ours.integer;
        case ValueKind::real:
            return theirs.value<double>() == ours.real;
        case ValueKind::boolean:
            return theirs.value<bool>() == ours.boolean;
        case ValueKind::datetime:
            return !ours.text.empty() && (theirs.is_date() || theirs.is_time() || theirs.is_date_time());
    }
    return false;
}

/// A decoded string is what our own walk through its literal gives.
void check_literals(const Source& source, const Value& value) {
    if (value.is(ValueKind::string)) {
        StringLiteral literal(source.at(value.spot));
        std::string decoded;
        while (literal.next(decoded)) {
        }
        ASSERT_EQ(decoded, value.text);
    }
    for (const Entry& entry : value.entries) check_literals(source, entry.value);
    for (const Value& item : value.items) check_literals(source, item);
}

TEST(Hostile, MutationsNeverCrash) {
    std::mt19937 random(20240229);
    const unsigned texts = voltsill::made::how_many(50000);
    unsigned readable = 0;
    for (unsigned i = 0; i < texts; ++i) {
        const std::string text = mutated(random);
        SCOPED_TRACE(text);
        const ParsedText parsed = parse_toml(text, "in.toml");
        readable += parsed.problems.empty();
        Reader reader(parsed);
        read(sample::bench_shape(), parsed.root, reader);
        for (const Problem& problem : reader.take()) {
            ASSERT_LE(problem.place.line, parsed.source->line_count());
            ASSERT_LE(problem.place.column, code_points(parsed.source->line(problem.place.line)) + 1);
            ASSERT_GE(problem.place.width, 1);
            for (const char c : render(problem))
                ASSERT_TRUE(c == '\n' || static_cast<unsigned char>(c) >= 0x20);
        }
        check_spots(*parsed.source, parsed.root);
        if (HasFatalFailure()) return;
        if (!parsed.problems.empty()) {
            ASSERT_THROW(toml::parse(std::string_view(text)), toml::parse_error);
            continue;
        }
        ASSERT_TRUE(same(parsed.root, toml::parse(std::string_view(text))));
        check_literals(*parsed.source, parsed.root);
        // What reads without problems can be edited, and then reads again.
        const std::string grown =
            apply(*parsed.source, {append_entry(*parsed.source, parsed.root, {"new", "1"})});
        const ParsedText again = parse_toml(grown, "in.toml");
        ASSERT_TRUE(again.problems.empty()) << grown;
        ASSERT_NE(again.root.find("new"), nullptr) << grown;
    }
    EXPECT_GT(readable, texts / 25);  // both sides of the border were visited
    EXPECT_LT(readable, texts - texts / 25);
}

TEST(Hostile, LargeTextsFullOfMistakesEnd) {
    const std::string sized(std::size_t{4} << 20, ' ');
    const auto filled = [&](std::string_view piece) {
        std::string text;
        while (text.size() + piece.size() <= sized.size()) text += piece;
        return text;
    };
    for (const char* piece :
         {"k = = \n", "[a]\n", "x = \"\n", "x = [\n", "'''", "\"", "[[a]]\n", "é", "a.b = [{c = 1}]\n"})
        EXPECT_FALSE(parse_toml(filled(piece), "in.toml").problems.empty()) << piece;
    std::string keys;
    for (int i = 0; i < 200'000; ++i) keys += "k" + std::to_string(i) + " = 1\n";
    const sample::Reading reading = sample::read_text(keys);
    EXPECT_EQ(reading.problems.size(), Reader::most_problems + 1u);
}

}  // namespace
