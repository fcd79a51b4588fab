#pragma once
/// Where a figure of these tests was taken from: the document at hand, another that quotes it, or memory.
namespace voltsill {

enum class Known { read, secondary, memory };

}  // namespace voltsill
