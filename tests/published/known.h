#pragma once
/// Where a figure of these tests was taken from: the document at hand, or memory; a document that only others
/// quote was not at hand.
namespace voltsill {

enum class Known { read, memory };

}  // namespace voltsill
