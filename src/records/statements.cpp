#include "records/statements.h"

#include <algorithm>

#include "records/string_literal.h"

namespace voltsill {
namespace {

bool is_bare(char c) {
    return ('a' <= c && c <= 'z') || ('A' <= c && c <= 'Z') || ('0' <= c && c <= '9') || c == '_' || c == '-';
}

/// Counts columns on the way, so that the spots of one long line cost one pass.
class Tracker {
  public:
    explicit Tracker(const Source& source) : source_(source) {}

    Spot spot(std::size_t begin, std::size_t end) {
        if (begin < at_) return source_.spot(begin, end);  // opening of something that has just closed
        advance(begin);
        Spot result{begin, end, line_, column_, 1};
        const std::size_t line_end = source_.line_begin(line_) + source_.line(line_).size();
        result.width = std::max(1, code_points(source_.slice(begin, std::clamp(line_end, begin, end))));
        return result;
    }

  private:
    void advance(std::size_t to) {
        const int line = source_.line_of(to);
        if (line != line_) {
            line_ = line;
            column_ = 1;
            at_ = std::min(source_.line_begin(line), to);
        }
        column_ += code_points(source_.slice(at_, to));
        at_ = to;
    }

    const Source& source_;
    std::size_t at_ = 0;
    int line_ = 0, column_ = 1;
};

class Scanning {
  public:
    Scanning(const Source& source, std::string_view text, int deepest, int most_values)
        : source_(source), text_(text), tracker_(source), deepest_(deepest), most_values_(most_values) {}

    Scan run() {
        at_ = source_.line_begin(1);
        for (skip_blank_lines(); !done() && !over_limit(); skip_blank_lines()) {
            Statement statement;
            statement.begin = at_;
            open_.clear();
            split_braces_.reset();
            if (!take_statement(statement)) recover(statement);
            result_.statements.push_back(std::move(statement));
        }
        return std::move(result_);
    }

  private:
    bool done() const { return at_ >= text_.size(); }
    bool over_limit() const { return result_.too_deep || result_.values > most_values_; }
    char peek(std::size_t ahead = 0) const { return at_ + ahead < text_.size() ? text_[at_ + ahead] : '\0'; }
    bool take(std::string_view word) {
        if (!text_.substr(at_).starts_with(word)) return false;
        at_ += word.size();
        return true;
    }
    void skip_blanks() {
        while (peek() == ' ' || peek() == '\t') ++at_;
    }
    void skip_comment() {
        if (peek() == '#') at_ = std::min(text_.find('\n', at_), text_.size());
    }
    bool at_line_end() const { return done() || peek() == '\n' || (peek() == '\r' && peek(1) == '\n'); }
    void skip_blank_lines() {
        while (!done()) {
            skip_blanks();
            skip_comment();
            if (done() || !at_line_end()) return;
            at_ += peek() == '\r' ? 2 : 1;
        }
    }

    bool take_statement(Statement& statement);
    bool take_header(Statement& statement);
    bool take_key(KeyPath& key);
    bool take_key_part(KeyPart& part);
    bool take_value(WrittenValue& value);
    bool take_array(WrittenValue& value);
    bool take_braces(WrittenValue& value);
    bool take_string();
    bool starts_statement(std::size_t line_begin) const;
    void recover(Statement& statement);

    const Source& source_;
    std::string_view text_;
    Tracker tracker_;
    int deepest_, most_values_;
    std::size_t at_ = 0;
    std::vector<std::size_t> open_;            ///< brackets and quotes that wait for their end
    std::optional<std::size_t> split_braces_;  ///< an inline table that goes over a line end
    Scan result_;
};

bool Scanning::take_statement(Statement& statement) {
    if (peek() == '[') {
        if (!take_header(statement)) return false;
    } else {
        if (!take_key(statement.key) || !take("=")) return false;
        skip_blanks();
        if (!take_value(statement.value)) return false;
    }
    statement.end = at_;
    if (split_braces_) return false;
    skip_blanks();
    skip_comment();
    if (!at_line_end()) return false;
    if (statement.kind == Statement::Kind::broken) statement.kind = Statement::Kind::pair;
    return true;
}

bool Scanning::take_header(Statement& statement) {
    const bool element = take("[[");
    if (!element) take("[");
    skip_blanks();
    ++result_.values;
    if (!take_key(statement.key) || !take(element ? "]]" : "]")) return false;
    statement.kind = element ? Statement::Kind::element_header : Statement::Kind::header;
    return true;
}

/// Leaves blanks after the key skipped.
bool Scanning::take_key(KeyPath& key) {
    do {
        skip_blanks();
        KeyPart part;
        if (!take_key_part(part)) return false;
        if (static_cast<int>(key.size()) == deepest_) result_.too_deep = part.spot;
        if (over_limit()) return false;
        key.push_back(std::move(part));
        skip_blanks();
    } while (take("."));
    return true;
}

bool Scanning::take_key_part(KeyPart& part) {
    const std::size_t begin = at_;
    if (peek() == '"' || peek() == '\'') {
        if (!take_string()) return false;
        StringLiteral literal(text_.substr(begin, at_ - begin));
        while (literal.next(part.name)) {
        }
    } else {
        while (is_bare(peek())) ++at_;
        part.name = std::string(text_.substr(begin, at_ - begin));
    }
    part.spot = tracker_.spot(begin, at_);
    return at_ > begin;
}

bool Scanning::take_value(WrittenValue& value) {
    ++result_.values;
    value.spot = tracker_.spot(at_, at_);
    if (static_cast<int>(open_.size()) == deepest_) result_.too_deep = value.spot;
    if (over_limit()) return false;
    bool good = true;
    if (peek() == '[') {
        good = take_array(value);
    } else if (peek() == '{') {
        good = take_braces(value);
    } else if (peek() == '"' || peek() == '\'') {
        good = take_string();
    } else {
        std::size_t end = std::min(text_.find_first_of(",]}#\r\n", at_), text_.size());
        while (end > at_ && (text_[end - 1] == ' ' || text_[end - 1] == '\t')) --end;
        good = end > at_;
        at_ = end;
    }
    if (!good) return false;
    value.spot.end = at_;
    const std::size_t line_end = source_.line_begin(value.spot.line) + source_.line(value.spot.line).size();
    value.spot.width = std::max(
        1, code_points(source_.slice(value.spot.begin, std::clamp(line_end, value.spot.begin, at_))));
    return true;
}

bool Scanning::take_array(WrittenValue& value) {
    value.kind = WrittenValue::Kind::array;
    open_.push_back(at_++);
    for (skip_blank_lines(); !take("]"); skip_blank_lines()) {
        if (done() || !take_value(value.items.emplace_back())) return false;
        skip_blank_lines();
        if (!take(",") && peek() != ']') return false;
    }
    open_.pop_back();
    return true;
}

/// Goes on over line ends, which TOML forbids here, to find where the user meant it to close.
bool Scanning::take_braces(WrittenValue& value) {
    value.kind = WrittenValue::Kind::braces;
    const std::size_t begin = at_++;
    open_.push_back(begin);
    const auto skip = [this, begin] {
        skip_blanks();
        if (!at_line_end() && peek() != '#') return;
        if (!split_braces_) split_braces_ = begin;
        skip_blank_lines();
    };
    for (skip(); !take("}"); skip()) {
        WrittenPair& pair = value.pairs.emplace_back();
        if (!take_key(pair.key) || !take("=")) return false;
        skip_blanks();
        if (!take_value(pair.value)) return false;
        skip();
        if (!take(",") && peek() != '}') return false;
    }
    open_.pop_back();
    return true;
}

bool Scanning::take_string() {
    const std::size_t begin = at_;
    const char quote = peek();
    const std::string three(3, quote);
    const bool multiline = take(three);
    if (!multiline) ++at_;
    open_.push_back(begin);
    while (!done()) {
        if (!multiline && at_line_end()) return false;
        if (quote == '"' && peek() == '\\') {
            at_ += 2;
        } else if (multiline && take(three)) {
            for (int inner = 0; inner < 2 && peek() == quote; ++inner)
                ++at_;  // quotes before the closing three
            open_.pop_back();
            return true;
        } else if (!multiline && peek() == quote) {
            ++at_;
            open_.pop_back();
            return true;
        } else {
            ++at_;
        }
    }
    at_ = text_.size();
    return false;
}

/// "key =" or "[name": what a line looks like that begins something new.
bool Scanning::starts_statement(std::size_t begin) const {
    std::string_view line = text_.substr(begin, text_.find('\n', begin) - begin);
    const std::size_t first = line.find_first_not_of(" \t");
    if (first == std::string_view::npos) return false;
    line.remove_prefix(first);
    if (line.front() == '[') {
        line.remove_prefix(line.starts_with("[[") ? 2 : 1);
        return !line.empty() && line.front() >= 'A' && is_bare(line.front());
    }
    if (line.front() == '"' || line.front() == '\'') {
        const std::size_t close = line.find(line.front(), 1);
        if (close == std::string_view::npos) return false;
        line.remove_prefix(close + 1);
    }
    const std::size_t sign = line.find('=');
    return sign != std::string_view::npos && std::ranges::all_of(line.substr(0, sign), [](char c) {
               const bool beyond_ascii =
                   static_cast<unsigned char>(c) >= 0x80;  // not TOML, but meant as a key
               return is_bare(c) || beyond_ascii || c == '.' || c == ' ' || c == '\t' || c == '"' ||
                      c == '\'';
           });
}

/// A line that breaks by itself ends with its line. An open bracket or multi-line string reaches
/// up to the next line that looks like a new statement, and then its opening is to blame.
void Scanning::recover(Statement& statement) {
    statement.kind = Statement::Kind::broken;
    at_ = std::min(at_, text_.size());
    const auto blame = [&](std::size_t opening) { statement.unclosed = source_.spot(opening, opening + 1); };
    if (!open_.empty()) {
        const int last = source_.line_of(at_);
        for (int line = source_.line_of(statement.begin) + 1; line <= last; ++line) {
            const std::size_t next = source_.line_begin(line);
            if (next >= text_.size() || !starts_statement(next)) continue;
            blame(open_.back());
            statement.end = next - 1;
            at_ = next;
            return;
        }
        if (at_line_end()) blame(open_.back());
    } else if (split_braces_) {
        blame(*split_braces_);
    }
    const bool many_lines =
        std::ranges::any_of(open_, [this](std::size_t opening) { return text_[opening] == '['; });
    do {
        statement.end = std::min(text_.find('\n', at_), text_.size());
        at_ = std::min(statement.end + 1, text_.size());
    } while (many_lines && !done() && !starts_statement(at_));
}

}  // namespace

Scan scan_statements(const Source& source, std::string_view text, int deepest, int most_values) {
    return Scanning(source, text, deepest, most_values).run();
}

}  // namespace voltsill
