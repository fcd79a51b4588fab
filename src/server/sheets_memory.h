#pragma once
/// The last sheets made, whole: whoever has seen the boards wants the pages next, and then one of them on
/// paper, of the same bench. Making them takes seconds; holding some takes little.
#include <list>
#include <memory>
#include <mutex>
#include <string>

#include "engine/sheets.h"

namespace voltsill::server {

class SheetsMemory {
  public:
    std::shared_ptr<const SheetsResult> find(const std::string& key) {
        const std::lock_guard lock(mutex_);
        for (const auto& [known, result] : last_)
            if (known == key) return result;
        return nullptr;
    }
    void keep(const std::string& key, std::shared_ptr<const SheetsResult> result) {
        const std::lock_guard lock(mutex_);
        last_.emplace_front(key, std::move(result));
        if (last_.size() > most) last_.pop_back();
    }

  private:
    static constexpr std::size_t most = 4;
    std::mutex mutex_;
    std::list<std::pair<std::string, std::shared_ptr<const SheetsResult>>> last_;
};

}  // namespace voltsill::server
