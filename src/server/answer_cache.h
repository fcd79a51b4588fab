#pragma once
/// Bodies of answers by what was asked, those not wanted for the longest time given up first.
#include <cstddef>
#include <list>
#include <map>
#include <mutex>
#include <optional>
#include <string>

namespace voltsill::server {

class AnswerCache {
  public:
    explicit AnswerCache(std::size_t most_bytes = 32u << 20) : most_bytes_(most_bytes) {}
    std::optional<std::string> find(const std::string& key);
    /// Nothing is kept that is larger than an eighth of the whole.
    void keep(const std::string& key, const std::string& body);

  private:
    struct Entry {
        std::string key, body;
    };
    std::mutex mutex_;
    std::size_t most_bytes_, bytes_ = 0;
    std::list<Entry> entries_;  ///< last used first
    std::map<std::string, std::list<Entry>::iterator> by_key_;
};

}  // namespace voltsill::server
