#include <toml++/toml.h>
#include <utf8proc.h>

#include <algorithm>
#include <unordered_map>

#include "records/mending.h"
#include "records/statements.h"
#include "records/tree.h"

namespace voltsill {
namespace {

/// Work on one text in bytes, so that a large text full of mistakes does not cost 20 readings.
constexpr std::size_t reading_budget = std::size_t{32} << 20;

/// Puts the values of toml++ to the places found by the scan.
class TreeBuilder {
  public:
    TreeBuilder(const Source& source, const Scan& scan, const SyntaxMending& mending)
        : source_(source), scan_(scan), blanked_(mending.blanked()) {
        std::ranges::sort(blanked_);
        root_.damaged = mending.lost_header();
    }

    Value build(const toml::table& root) {
        root_.form = TableForm::root;
        root_.body_end = source_.line_begin(1);
        root_.spot = Spot{root_.body_end, source_.text().size(), 0, 0, 1};
        open(root_, root, 0, 0);
        for (std::size_t i = 0; i < scan_.statements.size(); ++i) {
            const Statement& statement = scan_.statements[i];
            if (statement.is_header()) {
                enter_header(root, statement, i);
            } else if (statement.kind == Statement::Kind::pair) {
                enter_pair(*current_, *current_node_, statement.key, statement.value);
                current_->body_end = statement.end;
            }
        }
        return std::move(root_);
    }

  private:
    /// Makes a table the one that pairs belong to; damaged if something was left out of its section.
    void open(Value& table, const toml::table& node, std::size_t begin, std::size_t first_statement) {
        current_ = &table;
        current_node_ = &node;
        std::size_t end = source_.text().size() + 1;
        for (std::size_t i = first_statement; i < scan_.statements.size(); ++i)
            if (scan_.statements[i].is_header()) {
                end = scan_.statements[i].begin;
                break;
            }
        const auto lost = std::ranges::lower_bound(blanked_, begin);
        damaged_section_ = lost != blanked_.end() && *lost < end;
        table.damaged = table.damaged || damaged_section_;
    }

    /// The entry of `node` in `table`; a new one is an empty table of this form.
    Entry& entry(Value& table, const toml::node& node, const KeyPart& part, std::size_t begin,
                 TableForm form) {
        const auto [known, fresh] = index_.try_emplace(&node, table.entries.size());
        if (fresh) {
            Entry& made = table.entries.emplace_back();
            made = {.name = part.name, .key = part.spot, .begin = begin, .value = {}};
            made.value.form = form;
            made.value.spot = part.spot;
            made.value.damaged = damaged_section_;
            made.value.in_braces = table.in_braces;
        }
        return table.entries[known->second];
    }

    void enter_header(const toml::table& root, const Statement& statement, std::size_t index) {
        Value* table = &root_;
        const toml::table* node = &root;
        const std::size_t begin = statement.key.front().spot.begin;
        damaged_section_ = false;
        for (const KeyPart& part : statement.key) {
            const toml::node* child = node->get(part.name);
            if (!child) return;
            const bool last = &part == &statement.key.back();
            Entry& found = entry(*table, *child, part, begin, TableForm::implied);
            table = &found.value;
            if (const toml::array* elements = child->as_array()) {
                table->kind = ValueKind::array;
                table->form = TableForm::none;
                if (last) {
                    table->items.emplace_back().form = TableForm::element;
                } else if (table->items.empty()) {
                    return;
                }
                node = elements->get(table->items.size() - 1)->as_table();
                table = &table->items.back();
            } else {
                node = child->as_table();
                if (last) {
                    table->form = TableForm::section;
                    found.key = part.spot;
                    found.begin = begin;
                }
            }
            if (!node) return;
        }
        table->spot = source_.spot(statement.begin, statement.end);
        table->body_end = statement.end;
        open(*table, *node, statement.begin, index + 1);
    }

    void enter_pair(Value& table, const toml::table& node, const KeyPath& key, const WrittenValue& written) {
        Value* at = &table;
        const toml::table* at_node = &node;
        const std::size_t begin = key.front().spot.begin;
        for (const KeyPart& part : key) {
            const toml::node* child = at_node->get(part.name);
            if (!child) return;
            at = &entry(*at, *child, part, begin, TableForm::dotted).value;
            if (&part == &key.back()) {
                fill(*at, *child, written);
            } else {
                at_node = child->as_table();
                if (!at_node) return;
            }
        }
    }

    void fill(Value& value, const toml::node& node, const WrittenValue& written) {
        value.spot = written.spot;
        value.form = TableForm::none;
        if (const auto* table = node.as_table()) {
            value.form = TableForm::braces;
            value.in_braces = true;
            value.damaged = damaged_section_;
            for (const WrittenPair& pair : written.pairs) enter_pair(value, *table, pair.key, pair.value);
        } else if (const auto* array = node.as_array()) {
            value.kind = ValueKind::array;
            value.items.resize(std::min(array->size(), written.items.size()));
            for (std::size_t i = 0; i < value.items.size(); ++i)
                fill(value.items[i], *array->get(i), written.items[i]);
        } else if (const auto* string = node.as_string()) {
            value.kind = ValueKind::string;
            value.text = string->get();
        } else if (const auto* integer = node.as_integer()) {
            value.kind = ValueKind::integer;
            value.integer = integer->get();
            value.real = static_cast<double>(value.integer);
        } else if (const auto* real = node.as_floating_point()) {
            value.kind = ValueKind::real;
            value.real = real->get();
        } else if (const auto* boolean = node.as_boolean()) {
            value.kind = ValueKind::boolean;
            value.boolean = boolean->get();
        } else {
            value.kind = ValueKind::datetime;
            value.text = source_.at(written.spot);
        }
    }

    const Source& source_;
    const Scan& scan_;
    std::vector<std::size_t> blanked_;
    Value root_;
    Value* current_ = nullptr;
    const toml::table* current_node_ = nullptr;
    bool damaged_section_ = false;
    std::unordered_map<const toml::node*, std::size_t> index_;  ///< of its entry in the parent's
};

/// Why the bytes are no text, if they are none.
std::optional<Problem> not_text(const Source& source) {
    const std::string& text = source.text();
    const auto refuse = [&](std::size_t at, std::string message) {
        Problem problem =
            source.problem(source.spot(at, at + 1), "not-text", std::move(message), "text in UTF-8");
        problem.excerpt.clear();
        return problem;
    };
    if (text.starts_with("\xFF\xFE") || text.starts_with("\xFE\xFF"))
        return refuse(0, "this file is text in UTF-16");
    for (std::size_t at = 0; at < text.size();) {
        if (text[at] == '\0') return refuse(at, "this file holds a NUL byte and is no text");
        utf8proc_int32_t code_point = 0;
        const auto length = utf8proc_iterate(reinterpret_cast<const utf8proc_uint8_t*>(text.data()) + at,
                                             static_cast<utf8proc_ssize_t>(text.size() - at), &code_point);
        if (length <= 0) return refuse(at, "this byte is not UTF-8");
        at += static_cast<std::size_t>(length);
    }
    return std::nullopt;
}

std::optional<Problem> over_limits(const Source& source, const Scan& scan) {
    if (scan.too_deep)
        return source.problem(*scan.too_deep, "nested-too-deep", "this is nested too deep",
                              "at most " + std::to_string(deepest_nesting) + " levels");
    if (scan.values > most_values)
        return source.problem({}, "too-many-values", "this file holds too many values",
                              "at most " + std::to_string(most_values));
    return std::nullopt;
}

void read_with_mending(ParsedText& result) {
    const Source& source = *result.source;
    SyntaxMending mending(source);
    const std::size_t rounds = std::clamp<std::size_t>(reading_budget / (source.text().size() + 1), 3,
                                                       3 * std::size_t{most_syntax_errors});
    for (std::size_t round = 0; round < rounds; ++round) {
        const Scan scan = scan_statements(source, mending.working(), deepest_nesting, most_values);
        if (auto problem = over_limits(source, scan)) {
            result.problems.push_back(*std::move(problem));
            return;
        }
        Refusal refusal;
        try {
            const toml::table root = toml::parse(std::string_view(mending.working()));
            result.root = TreeBuilder(source, scan, mending).build(root);
            return;
        } catch (const toml::parse_error& error) {
            refusal = {std::string(error.description()), static_cast<int>(error.source().begin.line),
                       static_cast<int>(error.source().begin.column)};
        }
        if (!mending.mend(refusal, scan, result.problems)) break;
        if (result.problems.size() >= most_syntax_errors) break;
    }
    result.problems.push_back(source.problem({}, "too-many-problems", "the rest of this file was not read"));
}

}  // namespace

ParsedText parse_toml(std::string_view bytes, std::string file) {
    ParsedText result;
    const bool too_large = bytes.size() > largest_text;
    result.source = std::make_shared<Source>(std::move(file), std::string(too_large ? "" : bytes));
    const Source& source = *result.source;
    result.root.form = TableForm::root;
    result.root.damaged = true;
    if (too_large) {
        result.problems.push_back(source.problem({}, "too-large", "this file is too large",
                                                 "at most " + std::to_string(largest_text >> 20) + " MiB"));
        return result;
    }
    if (auto problem = not_text(source)) {
        result.problems.push_back(*std::move(problem));
        return result;
    }
    read_with_mending(result);
    return result;
}

}  // namespace voltsill
