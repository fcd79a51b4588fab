#include "parts/ranked.h"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <optional>
#include <utility>

#include "parts/pin_traits.h"
#include "parts/words.h"
#include "records/problem.h"

namespace voltsill {
namespace {

/// A word looked for, or a voltage.
struct Sought {
    std::string word;
    std::optional<double> volts;
};

/// In small letters; whatever is no letter, digit or point parts words, so that "open-drain" is two.
std::vector<std::string> words_in(std::string_view text) {
    std::vector<std::string> words(1);
    for (std::size_t k = 0; k < text.size(); ++k) {
        const bool range = text.substr(k, 2) == "..";  // "1.65..3.6"
        const char c = range ? ' ' : text[k];
        k += range;
        const char small = 'A' <= c && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
        const bool inside =
            ('a' <= small && small <= 'z') || ('0' <= small && small <= '9') || small == '.' || (c & 0x80);
        if (inside)
            words.back() += small;
        else if (!words.back().empty())
            words.emplace_back();
    }
    for (std::string& word : words)
        while (word.ends_with('.')) word.pop_back();
    std::erase_if(words, [](const std::string& word) { return word.empty(); });
    return words;
}

/// "5" before "v", "5v", "3.3v", "3v3".
std::optional<double> volts_of(std::string word, bool before_v) {
    const std::size_t letter = word.find('v');
    if (letter == std::string::npos && !before_v) return std::nullopt;
    if (letter != std::string::npos) word[letter] = '.';
    double value = 0;
    const auto read = std::from_chars(word.data(), word.data() + word.size(), value);
    if (read.ec != std::errc() || read.ptr + (word.ends_with('.') ? 1 : 0) < word.data() + word.size())
        return std::nullopt;
    return value;
}

bool is_number(const std::string& word) { return !word.empty() && '0' <= word[0] && word[0] <= '9'; }

/// The first word after `k` that is none of a range: of "2", "to", "6", "v" the last.
bool volts_follow(const std::vector<std::string>& words, std::size_t k) {
    for (++k; k < words.size(); ++k) {
        if (words[k] == "v" || words[k].starts_with("volt")) return true;
        if (is_number(words[k]) && words[k].find('v') != std::string::npos)
            return volts_of(words[k], false).has_value();
        if (words[k] != "to" && !is_number(words[k])) return false;
    }
    return false;
}

/// What people say, and what the catalogue calls it.
std::string in_our_words(const std::string& word) {
    static constexpr std::array<std::pair<std::string_view, std::string_view>, 8> other_words = {
        {{"shifter", "translator"},
         {"shifters", "translator"},
         {"converter", "translator"},
         {"converters", "translator"},
         {"fet", "mosfet"},
         {"microcontroller", "controller"},
         {"microcontrollers", "controller"},
         {"mcu", "controller"}}};
    const auto other = std::ranges::find(other_words, word, &std::pair<std::string_view, std::string_view>::first);
    return other == other_words.end() ? word : std::string(other->second);
}

/// A "level translator" is a translator, and no part is called after the level.
bool says_little_before(std::string_view word, std::string_view next) {
    return word == "level" && next == "translator";
}

std::vector<Sought> sought_in(std::string_view query) {
    static constexpr std::array<std::string_view, 26> empty_words = {
        "a",  "an", "and", "any", "at", "by",  "for",  "from", "has",  "in",    "into", "is",  "it",
        "of", "on", "or",  "part", "some", "that", "the", "to",   "v",    "which", "with", "volt", "volts"};
    std::vector<Sought> out;
    const std::vector<std::string> words = words_in(query);
    for (std::size_t k = 0; k < words.size(); ++k) {
        const auto volts = volts_of(words[k], is_number(words[k]) && volts_follow(words, k));
        if (!volts && std::ranges::find(empty_words, words[k]) != empty_words.end()) continue;
        if (k + 1 < words.size() && says_little_before(words[k], in_our_words(words[k + 1]))) continue;
        out.push_back({in_our_words(words[k]), volts});
    }
    return out;
}

/// What its pins are, in the words people use.
std::string facts_of(const PartType& type) {
    std::string facts;
    for (const auto& [word, kind] : kind_words())
        if (kind == type.kind) facts += word + ' ';
    for (const Pin& pin : type.pins) {
        for (const auto& [word, role] : role_words())
            if (role == pin.role) facts += word + ' ';
        if (pin.role == PinRole::open_drain || pin.role == PinRole::open_drain_io) facts += "open collector ";
        if (pin.schmitt) facts += "schmitt trigger ";
        for (const Pull& pull : pin.pulls) facts += pull.up ? "pull up pullup " : "pull down pulldown ";
    }
    return facts;
}

struct Field {
    double weight;
    std::vector<std::string> words;
};

std::vector<Field> fields_of(const PartType& type) {
    return {{4, words_in(type.name)},
            {3, words_in(type.title + " " + type.function)},
            {2, words_in(facts_of(type))},
            {1, words_in(type.note)}};
}

/// The word itself, its plural or its beginning; of two letters the word alone.
bool same_word(std::string_view sought, std::string_view there) {
    if (there == sought) return true;
    if (sought.ends_with('s') && sought.size() > 3 && there == sought.substr(0, sought.size() - 1)) return true;
    return sought.size() > 2 && there.starts_with(sought);
}

bool stands_at(const PartType& type, double volts) {
    return std::ranges::any_of(type.supplies, [&](const SupplyPort& supply) {
        return supply.range.lo.si() <= volts && volts <= supply.range.hi.si();
    });
}

/// The weight of the best field that has it; 0: none.
double weight_of(const Sought& sought, const PartType& type, const std::vector<Field>& fields) {
    for (const Field& field : fields)
        if (std::ranges::any_of(field.words, [&](const std::string& word) { return same_word(sought.word, word); }))
            return field.weight;
    return sought.volts && stands_at(type, *sought.volts) ? 2 : 0;
}

struct Ranked {
    const PartType* type;
    std::vector<double> weights;  ///< by word
    int found = 0;
    double score = 0;
};

}  // namespace

std::vector<const PartType*> ranked_types(const Catalogue& catalogue, std::string_view query) {
    const std::vector<Sought> sought = sought_in(query);
    std::vector<Ranked> all;
    std::vector<int> having(sought.size());
    for (const auto& type : catalogue.types()) {
        const std::vector<Field> fields = fields_of(*type);
        Ranked ranked{.type = type.get()};
        for (std::size_t k = 0; k < sought.size(); ++k) {
            ranked.weights.push_back(weight_of(sought[k], *type, fields));
            having[k] += ranked.weights[k] > 0;
            if (ranked.weights[k] > 0)
                ++ranked.found;
            else if (sought[k].volts && !type->supplies.empty())
                ranked.found -= 2;  // worse than a word not said: it cannot be had at that voltage
        }
        all.push_back(std::move(ranked));
    }
    for (Ranked& ranked : all)
        for (std::size_t k = 0; k < sought.size(); ++k)
            if (having[k] > 0)
                ranked.score += ranked.weights[k] * std::log1p(static_cast<double>(all.size()) / having[k]);
    std::erase_if(all, [&](const Ranked& ranked) { return 2 * ranked.found < static_cast<int>(sought.size()); });
    std::ranges::stable_sort(all, [](const Ranked& a, const Ranked& b) {
        return a.found != b.found ? a.found > b.found : a.score > b.score;
    });
    std::vector<const PartType*> out;
    for (const Ranked& ranked : all) out.push_back(ranked.type);
    return out;
}

namespace {

/// Whether somebody who typed `word` may have meant `near`: a short word has at most one letter wrong, missing, too
/// many or exchanged with the next, for a buzzer is no buffer.
bool is_slip_of(std::string_view word, std::string_view near) {
    constexpr std::size_t long_word = 8;
    if (near.empty()) return false;
    if (word.size() >= long_word || near.starts_with(word)) return true;
    while (!word.empty() && !near.empty() && word.front() == near.front()) word.remove_prefix(1), near.remove_prefix(1);
    while (!word.empty() && !near.empty() && word.back() == near.back()) word.remove_suffix(1), near.remove_suffix(1);
    const bool exchanged = word.size() == 2 && near.size() == 2 && word[0] == near[1] && word[1] == near[0];
    return exchanged || (word.size() <= 1 && near.size() <= 1);
}

}  // namespace

std::vector<std::string> near_names(const Catalogue& catalogue, std::string_view query, std::size_t most) {
    std::vector<std::string> names = catalogue.names(), spoken, out;
    for (const auto& type : catalogue.types())
        for (const Field& field : fields_of(*type)) spoken.insert(spoken.end(), field.words.begin(), field.words.end());
    std::ranges::sort(spoken);
    spoken.erase(std::ranges::unique(spoken).begin(), spoken.end());
    for (const PinTrait& trait : pin_traits(catalogue)) names.push_back(trait.name);
    if (std::string nearest = nearest_name(query, names); !nearest.empty()) out.push_back(std::move(nearest));
    std::string respelled;
    for (const std::string& word : words_in(query)) {
        const std::string nearest = nearest_name(word, spoken);
        respelled += (is_slip_of(word, nearest) ? nearest : word) + ' ';
    }
    if (!sought_in(respelled).empty())
        for (const PartType* type : ranked_types(catalogue, respelled))
            if (out.size() < most && std::ranges::find(out, type->name) == out.end()) out.push_back(type->name);
    return out;
}

}  // namespace voltsill
