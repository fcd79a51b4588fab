#include "captures/mapping.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>

namespace voltsill {
namespace {

std::string_view bare_word(std::string_view text) {
    while (!text.empty() && text.front() == ' ') text.remove_prefix(1);
    while (!text.empty() && text.back() == ' ') text.remove_suffix(1);
    if (text.size() >= 2 && text.front() == '"' && text.back() == '"') text = text.substr(1, text.size() - 2);
    return text;
}

std::string plain(std::string_view text) {
    std::string out;
    for (const char c : text) out += static_cast<char>(c >= 'A' && c <= 'Z' ? c + 32 : c);
    return out;
}

std::vector<std::string> names_of(const CaptureChannel& c) {
    std::vector<std::string> out = c.aliases;
    out.insert(out.begin(), c.name);
    return out;
}

}  // namespace

std::optional<ChannelWish> read_wish(std::string_view text) {
    const std::size_t at = text.find('=');
    if (at == std::string_view::npos) return std::nullopt;
    ChannelWish out{std::string(bare_word(text.substr(0, at))), std::string(bare_word(text.substr(at + 1)))};
    return out.channel.empty() || out.target.empty() ? std::nullopt : std::optional(out);
}

int find_channel(const std::string& word, const std::vector<CaptureChannel>& channels,
                 const std::string& option, Problems& problems) {
    const std::string wanted = plain(word);
    std::vector<int> whole, last;
    std::vector<std::string> names;
    for (std::size_t k = 0; k < channels.size(); ++k)
        for (const std::string& name : names_of(channels[k])) {
            const std::string here = plain(name);
            names.push_back(name);
            std::vector<int>* list = here == wanted ? &whole : here.ends_with("." + wanted) ? &last : nullptr;
            if (list && (list->empty() || list->back() != static_cast<int>(k)))
                list->push_back(static_cast<int>(k));
        }
    const std::vector<int>& found = whole.empty() ? last : whole;
    if (found.size() == 1) return found[0];
    std::size_t number = 0;
    const auto [end, error] = std::from_chars(word.data(), word.data() + word.size(), number);
    if (found.empty() && error == std::errc() && end == word.data() + word.size() && number >= 1 &&
        number <= channels.size())
        return static_cast<int>(number) - 1;
    std::string listed;
    for (std::size_t k = 0; k < std::min<std::size_t>(names.size(), 12); ++k)
        listed += (k ? ", " : "") + names[k];
    if (names.size() > 12) listed += fmt::format(" and {} more", names.size() - 12);
    Problem& problem = problems.emplace_back();
    problem.code = found.empty() ? "unknown-channel" : "ambiguous-channel";
    problem.place.file = command_line;
    problem.message = found.empty() ? fmt::format("{}: the file has no channel \"{}\"", option, word)
                                    : fmt::format("{}: \"{}\" can be {} channels", option, word, found.size());
    problem.expected = "one of " + listed;
    problem.nearest = nearest_name(word, names);
    return -1;
}

int find_target(const std::string& name, const std::vector<Expectation>& targets) {
    const std::string wanted = plain(name);
    for (std::size_t k = 0; k < targets.size(); ++k)
        if (plain(targets[k].link) == wanted) return static_cast<int>(k);
    for (std::size_t k = 0; k < targets.size(); ++k) {
        // A pin of a package is labelled "U1.18 (Y1)": its number and its name are good as well.
        const std::string label = plain(targets[k].point);
        const std::size_t open = label.find(" ("), dot = label.find('.');
        std::string by_name;
        if (open != std::string::npos && dot != std::string::npos)
            by_name = label.substr(0, dot + 1) + label.substr(open + 2, label.size() - open - 3);
        if (label == wanted || label.substr(0, open) == wanted || by_name == wanted)
            return static_cast<int>(k);
    }
    return -1;
}

}  // namespace voltsill
