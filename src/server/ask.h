#pragma once
/// The members of a JSON body, read by name and kind; what is wrong is said in one answer.
#include <expected>
#include <optional>
#include <string>
#include <vector>

#include "engine/json_pieces.h"
#include "server/exchange.h"

namespace voltsill::server {

inline constexpr int deepest_body = 40;

class Ask {
  public:
    /// 400 for what is no JSON object (RFC 8259, UTF-8), or nested deeper than `deepest_body`.
    static std::expected<Ask, Answer> read(const std::string& body);

    std::string text(const char* name, std::optional<std::string> otherwise = {});
    std::optional<std::string> text_or_null(const char* name);
    std::string one_of(const char* name, const std::vector<std::string>& words, const std::string& otherwise);
    long long whole(const char* name, long long lowest, long long highest, long long otherwise);
    std::optional<double> positive_or_null(const char* name);
    long long stated_whole(const char* name, long long lowest, long long highest);
    bool truth(const char* name);  ///< false when it is left out
    bool stated_truth(const char* name);
    std::vector<std::string> texts(const char* name);
    const Json* member(const char* name) const;
    /// 400 when a member read so far was missing or of a wrong kind.
    std::optional<Answer> objection() const;

  private:
    void expect(const char* name, std::string what);

    Json root_;
    Problems problems_;
};

}  // namespace voltsill::server
