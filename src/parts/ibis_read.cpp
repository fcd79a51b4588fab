/// The file of IBIS: its keywords one after the other, and its head.
#include <fmt/format.h>

#include <algorithm>
#include <charconv>

#include "parts/ibis_keywords.h"
#include "parts/ibis_reader.h"
#include "records/in_order.h"

namespace voltsill {
namespace {

constexpr std::size_t longest_text = 64u << 10;

bool ends_block(std::string_view key) { return key.starts_with("end ") || key == "end"; }

/// Keywords that cannot stand inside a block: they end one that was left open.
bool begins_anew(std::string_view key) {
    return key == "model" || key == "component" || key == "model selector" || key == "end";
}

void append(std::string& text, std::string_view line) {
    if (line.empty() || text.size() > longest_text) return;
    if (!text.empty()) text += '\n';
    text += line.substr(0, longest_text);
}

template <class Item>
const Item* named_item(const std::vector<Item>& items, std::string_view name) {
    const auto at = std::ranges::find(items, name, &Item::name);
    return at == items.end() ? nullptr : &*at;
}

}  // namespace

const IbisModel* IbisFile::model(std::string_view name) const { return named_item(models, name); }
const IbisSelector* IbisFile::selector(std::string_view name) const { return named_item(selectors, name); }

bool IbisSelector::offers(std::string_view model) const {
    return std::ranges::find(choices, model, &Choice::model) != choices.end();
}

std::vector<std::string> IbisFile::model_names() const {
    std::vector<std::string> names;
    for (const IbisSelector& s : selectors) names.push_back(s.name);
    for (const IbisModel& m : models) names.push_back(m.name);
    return names;
}

IbisFile IbisReader::read() {
    while (lines_.next()) {
        if (file_.ended) {
            lines_.warning(lines_.rest(), "text-after-end", "this stands after [End]",
                           "only comments after [End]");
            break;
        }
        if (lines_.is_keyword())
            keyword();
        else
            content();
    }
    finish();
    return std::move(file_);
}

void IbisReader::keyword() {
    end_section();
    const std::string& key = lines_.key();
    if (first_keyword_ && key != "ibis ver" && key != "comment char")
        lines_.error(lines_.keyword_text(), "not-ibis", "the file does not begin with [IBIS Ver]",
                     "[IBIS Ver] 3.2 as its first keyword");
    if (key != "comment char") first_keyword_ = false;
    section_ = Section::unused;
    if (skipping_ && !begins_anew(key)) {
        const bool over = ends_block(key);
        file_.unused.push_back(
            {std::string(lines_.keyword_text()), lines_.line(), fmt::format("part of [{}]", skipped_block_)});
        if (over) skipping_ = false;
        return;
    }
    skipping_ = false;
    if (header_keyword() || component_keyword() || model_keyword()) return;
    unused_keyword();
}

void IbisReader::unused_keyword() {
    const std::string& key = lines_.key();
    const auto known =
        std::ranges::find(unused_ibis_keywords(), std::string_view(key), &UnusedIbisKeyword::name);
    if (known != unused_ibis_keywords().end()) {
        file_.unused.push_back(
            {std::string(lines_.keyword_text()), lines_.line(), std::string(known->reason)});
        skipping_ = known->block;
        skipped_block_ = key;
        return;
    }
    file_.unused.push_back(
        {std::string(lines_.keyword_text().substr(0, 80)), lines_.line(), "no keyword that is known here"});
    const std::string_view inner = lines_.keyword_text().substr(1, lines_.keyword_text().size() - 2);
    if (!lines_.full() && !nearest_name(inner.substr(0, 80), used_ibis_keywords()).empty())
        lines_.unknown_name(inner, "unknown-keyword", "there is no such keyword", used_ibis_keywords());
    else
        lines_.warning(lines_.keyword_text(), "unknown-keyword",
                       "this keyword is not known here; its lines are not used");
}

bool IbisReader::header_keyword() {
    const std::string& key = lines_.key();
    const std::string_view rest = lines_.rest();
    const auto text = [&](std::string& into) {
        append(into, rest);
        text_ = &into;
        section_ = Section::text;
        return true;
    };
    if (key == "source") return text(file_.source);
    if (key == "notes") return text(file_.notes);
    if (key == "disclaimer" || key == "copyright") return true;  // their lines are passed over
    const auto one = [&](std::string& into) {
        if (!into.empty())
            lines_.error(lines_.keyword_text(), "repeated-keyword", "this keyword stands once in a file");
        else if (rest.empty())
            lines_.error(lines_.keyword_text(), "empty-keyword", "nothing follows this keyword");
        else
            into = rest.substr(0, 200);
        section_ = Section::none;
        return true;
    };
    if (key == "file name") return one(file_.file_name);
    if (key == "file rev") return one(file_.revision);
    if (key == "date") return one(file_.date);
    if (key == "comment char") {
        section_ = Section::none;
        const bool good = rest.size() == 6 && same_letters(rest.substr(1), "_char");
        if (good)
            lines_.set_comment_char(rest.front());
        else
            lines_.error(rest.empty() ? lines_.keyword_text() : rest, "wrong-comment-char",
                         "this does not name a comment character", "[Comment Char] |_char");
        return true;
    }
    if (key == "end") {
        file_.ended = true;
        section_ = Section::none;
        return true;
    }
    if (key != "ibis ver") return false;
    one(file_.version);
    double version = 0;
    const auto [stop, trouble] = std::from_chars(rest.data(), rest.data() + rest.size(), version);
    if (trouble != std::errc{} || version < 1.0 || version >= 8.0)
        lines_.error(rest.empty() ? lines_.keyword_text() : rest, "wrong-version",
                     "this is no version of IBIS that is known here", "3.2 to 7.2");
    // 80 characters up to 4.1, 120 later (from memory).
    lines_.set_longest(version >= 4.2 ? 120 : 80);
    return true;
}

void IbisReader::content() {
    switch (section_) {
        case Section::text:
            append(*text_, lines_.rest());
            return;
        case Section::package:
            return package_row();
        case Section::pins:
            return pin_row();
        case Section::selector:
            return selector_row();
        case Section::model:
            return model_row();
        case Section::model_spec:
            return model_spec_row();
        case Section::ramp:
            return ramp_row();
        case Section::table:
            return table_row();
        case Section::waveform:
            return waveform_row();
        case Section::unused:
            return;
        case Section::component:
            // Si_location, Timing_location: at the pin or at the die.
            file_.unused.push_back({std::string(lines_.rest().substr(0, 80)), lines_.line(),
                                    "thresholds and timing are taken at the pin"});
            return;
        case Section::none:
            if (first_keyword_) {
                lines_.error(lines_.rest(), "not-ibis", "the file does not begin with [IBIS Ver]",
                             "[IBIS Ver] 3.2 as its first keyword");
                first_keyword_ = false;
                section_ = Section::unused;
                return;
            }
            lines_.error(lines_.rest(), "misplaced-line", "nothing is expected here",
                         "a keyword in brackets");
            section_ = Section::unused;
    }
}

void IbisReader::finish() {
    end_section();
    if (first_keyword_)
        lines_.error_on(1, "not-ibis", "the file has no [IBIS Ver]", "[IBIS Ver] 3.2 as its first keyword");
    else if (!file_.ended)
        lines_.error_on(lines_.line(), "no-end", "the file has no [End]: it may have been cut off",
                        "[End] as its last line");
    check_names();
    for (const IbisModel& m : file_.models) check_ibis_model(m, lines_);
}

IbisFile read_ibis(std::string_view bytes, std::string_view file, Problems& problems) {
    const Source source{std::string(file), std::string(bytes)};
    const std::size_t nul = bytes.find('\0');
    if (nul != std::string_view::npos) {
        problems.push_back(source.problem(source.spot(nul, nul + 1), "not-text",
                                          "this is not a text file: it holds a zero byte",
                                          "an IBIS file (.ibs)"));
        return {.file = std::string(file)};
    }
    Problems found;
    IbisFile out = IbisReader(source, found).read();
    out.file = file;
    append_in_order(problems, std::move(found), file);
    return out;
}

}  // namespace voltsill
