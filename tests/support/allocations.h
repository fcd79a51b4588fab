#pragma once
/// Counts what the calling thread allocates with `new`. Link allocations.cpp into the test program.
namespace voltsill::testing {

long allocations();

}  // namespace voltsill::testing
