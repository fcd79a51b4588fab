#pragma once
/// The lines of an IBIS file: comments taken off, keywords in brackets recognised, words and numbers
/// with their places. Problems are collected here, at most `IbisLines::most_problems` of them.
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "parts/ibis.h"
#include "records/source.h"

namespace voltsill {

/// "[Voltage_Range ]" -> "voltage range"
std::string ibis_key(std::string_view keyword);
bool same_letters(std::string_view a, std::string_view b);  ///< capitals do not count (ASCII)

class IbisLines {
  public:
    static constexpr int most_problems = 200;

    IbisLines(const Source& source, Problems& problems) : source_(source), problems_(problems) {}
    /// Says how many problems were counted only, and which lines were too long.
    ~IbisLines();
    IbisLines(const IbisLines&) = delete;
    IbisLines& operator=(const IbisLines&) = delete;

    /// The next line that holds anything; false at the end.
    bool next();
    int line() const { return line_; }
    bool is_keyword() const { return keyword_; }
    const std::string& key() const { return key_; }               ///< of a keyword line, as ibis_key gives it
    std::string_view keyword_text() const { return bracketed_; }  ///< with its brackets
    /// What follows a keyword, or the whole line; no blanks at either end.
    std::string_view rest() const { return rest_; }
    /// Words of `rest`; separated by blanks, tabs and, if asked for, equals signs.
    std::vector<std::string_view> words(bool equals_separates = false) const;
    void set_comment_char(char c) { comment_ = c; }
    void set_longest(int columns) { longest_ = columns; }

    void error(std::string_view at, std::string code, std::string message, std::string expected = {});
    void warning(std::string_view at, std::string code, std::string message, std::string expected = {});
    void error_on(int line, std::string code, std::string message, std::string expected = {});
    void warning_on(int line, std::string code, std::string message, std::string expected = {});
    void unknown_name(std::string_view at, std::string code, std::string message,
                      const std::vector<std::string>& choices);
    /// A pin or selector names a model that is not there.
    void unknown_model(int line, const std::string& name, const std::vector<std::string>& choices);
    bool full() const { return static_cast<int>(problems_.size()) >= most_problems; }

    /// A number with its scale factor, in SI; nullopt after a problem. Magnitudes up to 1e30.
    std::optional<double> number(std::string_view word);
    static bool is_na(std::string_view word) { return same_letters(word, "NA"); }
    /// typ min max from the words; missing or NA ones are filled up with the typical figure and named
    /// in `remarks`. nullopt after a problem.
    std::optional<IbisTriple> triple(std::span<const std::string_view> words, std::string_view what,
                                     std::vector<std::string>& remarks);

  private:
    void add(Severity severity, const Spot& spot, std::string code, std::string message, std::string expected,
             std::string nearest = {});
    Spot spot(std::string_view at) const;

    const Source& source_;
    Problems& problems_;
    int line_ = 0, left_out_ = 0;
    char comment_ = '|';
    int longest_ = 80, too_long_ = 0, first_too_long_ = 0;
    bool keyword_ = false;
    std::string key_;
    std::string_view bracketed_, rest_;
};

}  // namespace voltsill
