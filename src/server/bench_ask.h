#pragma once
/// What every call about a bench begins with: its text, its name, and where its includes lie.
#include <functional>
#include <variant>

#include "server/ask.h"
#include "server/site.h"

namespace voltsill::server {

struct BenchAsk {
    Ask members;
    std::string file, text;
    bool included = false;  ///< another file was asked for
    Includer include;
};

/// Reads the body, and answers with what `make` makes of it; from memory where the same body was asked
/// before and no other file has a part in it. `make` gives a body of JSON, or an answer of its own.
using Made = std::variant<std::string, Answer>;
Answer answer_for_bench(Call& call, const std::function<Made(BenchAsk&)>& make);

}  // namespace voltsill::server
