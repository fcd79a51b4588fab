#include "records/mending.h"

#include <algorithm>
#include <map>

#include "quantity/scan.h"

namespace voltsill {
namespace {

/// Whether a bare scalar may be meant as a number, a truth value, a date or a time.
bool plausible(std::string_view raw) {
    if (raw.empty() || raw == "true" || raw == "false") return true;
    if (raw.front() == '+' || raw.front() == '-') raw.remove_prefix(1);
    if (raw == "inf" || raw == "nan") return true;
    return !raw.empty() && '0' <= raw.front() && raw.front() <= '9' &&
           raw.find_first_not_of("0123456789abcdefABCDEFxo_.+-:TZtz ") == std::string_view::npos;
}

/// The first scalar of a line that should have been in quotes.
const WrittenValue* unquoted_text(const WrittenValue& value, const Source& source, int line) {
    if (value.kind == WrittenValue::Kind::scalar) {
        const std::string_view raw = source.at(value.spot);
        const bool quoted = raw.starts_with('"') || raw.starts_with('\'');
        return value.spot.line == line && !quoted && !plausible(raw) ? &value : nullptr;
    }
    for (const WrittenValue& item : value.items)
        if (const auto* found = unquoted_text(item, source, line)) return found;
    for (const WrittenPair& pair : value.pairs)
        if (const auto* found = unquoted_text(pair.value, source, line)) return found;
    return nullptr;
}

/// Names defined so far, by path; a path is joined with NUL, which no name holds.
class Definitions {
  public:
    enum class As { implied, dotted, table, value };

    /// Enters a key below `path`; the earlier definition that forbids it, if any.
    std::optional<Duplicate> enter(std::string path, const KeyPath& key, As last) {
        for (const KeyPart& part : key) {
            path += part.name + '\0';
            const bool is_last = &part == &key.back();
            const As as = is_last ? last : last == As::value ? As::dotted : As::implied;
            const auto [known, fresh] = known_.try_emplace(path, One{as, part.spot});
            if (!fresh) {
                const As before = known->second.as;
                if (before == As::value || (is_last && (last == As::value || before != As::implied)))
                    return Duplicate{part.name, known->second.spot, part.spot};
                if (is_last) known->second = One{as, part.spot};
            }
            if (const auto count = elements_.find(path); count != elements_.end() && !is_last)
                path += std::to_string(count->second) + '\0';
        }
        return std::nullopt;
    }

    /// Enters a header and makes it the table that pairs belong to.
    std::optional<Duplicate> open(const Statement& header) {
        current_ = resolve(header.key);
        if (header.kind != Statement::Kind::element_header) return enter({}, header.key, As::table);
        if (const auto count = elements_.find(current_); count != elements_.end()) {
            ++count->second;
        } else {
            if (auto found = enter({}, header.key, As::table)) return found;
            elements_[current_] = 0;
        }
        current_ += std::to_string(elements_[current_]) + '\0';
        return std::nullopt;
    }
    std::optional<Duplicate> add(const WrittenPair& pair) { return enter(current_, pair.key, As::value); }

  private:
    struct One {
        As as;
        Spot spot;
    };

    /// The path of a header; in an array of tables its last element, but for the last part itself.
    std::string resolve(const KeyPath& key) const {
        std::string path;
        for (const KeyPart& part : key) {
            path += part.name + '\0';
            const auto count = elements_.find(path);
            if (count != elements_.end() && &part != &key.back())
                path += std::to_string(count->second) + '\0';
        }
        return path;
    }

    std::map<std::string, One> known_;
    std::map<std::string, int> elements_;
    std::string current_;
};

std::optional<Duplicate> duplicate_inside(const WrittenValue& value) {
    Definitions inner;
    for (const WrittenPair& pair : value.pairs) {
        if (auto found = inner.add(pair)) return found;
        if (auto found = duplicate_inside(pair.value)) return found;
    }
    for (const WrittenValue& item : value.items)
        if (auto found = duplicate_inside(item)) return found;
    return std::nullopt;
}

/// "Error while parsing key-value pair: ..." without what the headline says already.
std::string in_sentence(std::string text) {
    constexpr std::string_view opening = "Error while parsing ";
    if (text.starts_with(opening)) text = "in this " + text.substr(opening.size());
    return text;
}

}  // namespace

std::optional<Duplicate> find_duplicate(const Scan& scan, std::size_t index) {
    Definitions known;
    for (std::size_t i = 0; i <= index; ++i) {
        const Statement& statement = scan.statements[i];
        std::optional<Duplicate> found;
        if (statement.is_header()) {
            found = known.open(statement);
        } else if (statement.kind == Statement::Kind::pair) {
            found = known.add({statement.key, {}});
            if (!found && i == index) found = duplicate_inside(statement.value);
        }
        if (i == index) return found;
    }
    return std::nullopt;
}

Problem SyntaxMending::describe(const Refusal& refusal, const Spot& spot, const Scan& scan,
                                std::size_t index) const {
    if (index < scan.statements.size()) {
        const Statement& statement = scan.statements[index];
        if (statement.unclosed) {
            const std::string opening(source_.at(*statement.unclosed));
            return source_.problem(*statement.unclosed, "syntax",
                                   opening == "{" ? "this inline table is not closed on its line"
                                                  : "this " + opening + " is never closed",
                                   opening == "{" ? "} on the same line" : "");
        }
        if (auto twice = find_duplicate(scan, index)) {
            Problem problem = source_.problem(twice->again, "duplicate-key",
                                              in_quotes(twice->name) + " is defined a second time");
            problem.other = source_.place(twice->first);
            problem.other_excerpt = source_.excerpt(twice->first.line);
            return problem;
        }
        if (const auto* bare = unquoted_text(statement.value, source_, spot.line)) {
            const std::string raw = in_quotes(source_.at(bare->spot));
            return source_.problem(bare->spot, "missing-quotes",
                                   raw + " is neither a number nor true or false",
                                   "text stands in quotes: " + raw);
        }
    }
    Problem problem = source_.problem(spot, "syntax", in_sentence(refusal.text));
    if (static_cast<unsigned char>(source_.text()[std::min(spot.begin, source_.text().size() - 1)]) >= 0x80)
        problem.expected = "letters, digits, - and _ of ASCII outside of quotes";
    return problem;
}

bool SyntaxMending::blank(std::size_t begin, std::size_t end) {
    bool changed = false;
    for (std::size_t i = begin; i < std::min(end, working_.size()); ++i) {
        const char before = working_[i];
        if (before == '\n' || (before == '\r' && i + 1 < working_.size() && working_[i + 1] == '\n'))
            continue;
        changed = changed || before != ' ';
        working_[i] = ' ';
    }
    blanked_.push_back(begin);
    return changed;
}

bool SyntaxMending::mend(const Refusal& refusal, const Scan& scan, Problems& problems) {
    const std::size_t at = source_.offset(refusal.line, refusal.column);
    const Spot spot = source_.spot(at, std::min(at + 1, source_.text().size()));
    const auto after = std::ranges::upper_bound(scan.statements, at, {}, &Statement::begin);
    // The scan is exact up to the first broken statement, so the mistake is there or before.
    const auto first_broken = std::ranges::find(scan.statements, Statement::Kind::broken, &Statement::kind);
    const auto index_after =
        std::min(after, first_broken == scan.statements.end() ? after : first_broken + 1);
    std::size_t index = static_cast<std::size_t>(index_after - scan.statements.begin());
    const auto line_span = [this](int line) {
        return std::pair(source_.line_begin(line), source_.line_begin(line) + source_.line(line).size() + 1);
    };
    const auto [line_begin, line_end] = line_span(refusal.line);

    if (index == 0 || (index_after == after && line_begin > scan.statements[index - 1].end)) {
        problems.push_back(describe(refusal, spot, scan, scan.statements.size()));  // in a comment
        return blank(line_begin, line_end);
    }
    const Statement& statement = scan.statements[--index];
    const bool broken = statement.kind == Statement::Kind::broken;
    const bool header = working_[statement.begin] == '[';
    if (!broken || reported_.insert(statement.begin).second) {
        problems.push_back(describe(refusal, spot, scan, index));
        if (header) problems.back().message += "; its section was not read";
    }
    if (header) {
        lost_header_ = true;
        const auto next = std::ranges::find_if(scan.statements.begin() + static_cast<long>(index) + 1,
                                               scan.statements.end(), &Statement::is_header);
        return blank(statement.begin, next == scan.statements.end() ? working_.size() : next->begin);
    }
    const bool in_later_line = source_.line_of(statement.begin) < refusal.line && line_begin < statement.end;
    if (broken || !in_later_line) return blank(statement.begin, statement.end);
    return blank(line_begin, line_end);
}

}  // namespace voltsill
