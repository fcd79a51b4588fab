#pragma once
/// The strings of TOML 1.0.0 (toml.io): what a literal stands for, and where in it each piece of
/// the decoded text comes from.
#include <string>
#include <string_view>

namespace voltsill {

/// A string literal between its quotes, decoded step by step: basic, literal, and both
/// multi-line forms.
class StringLiteral {
  public:
    explicit StringLiteral(std::string_view literal);
    /// Appends the next piece (a code point or one escape) to `out`; false at the end.
    bool next(std::string& out);
    std::size_t at() const { return at_; }  ///< byte in the literal, of the piece that comes next

  private:
    void skip_trimmed();

    std::string_view literal_;
    bool escapes_ = false, multiline_ = false;
    std::size_t at_ = 0, end_ = 0;
};

}  // namespace voltsill
