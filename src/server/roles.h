#pragma once
/// Who asks, and what each may do: one rule for every row of the table of routes.
///
///                 no class is held          a class is held
///     everyone    anybody                   anybody
///     visitor     nobody: no such call      anybody who may ask at all
///     learner     nobody                    a device that has joined
///     instructor  nobody                    who has signed in by the passphrase
///     maker       whoever has the page      who has signed in by the passphrase
///
/// So learners, and everybody else in the network, reach nothing that reads or writes benches and files.
#include <cstdint>
#include <string>

namespace voltsill::server {

enum class Role { nobody, learner, instructor, maker };
enum class For { everyone, visitor, learner, instructor, maker };

/// Whoever asks, as far as the head of the request proves it.
struct Identity {
    Role role = Role::maker;
    bool in_class = false;
    std::int64_t learner = 0;
    std::string token;  ///< to be said again with whatever changes or computes; empty: none is known
};

enum class Leave { given, no_such_call, sign_in, not_yours };

constexpr Leave leave_for(For whom, Role role, bool in_class) {
    if (whom == For::everyone) return Leave::given;
    if (!in_class) return whom == For::maker && role == Role::maker ? Leave::given : Leave::no_such_call;
    if (whom == For::visitor) return Leave::given;
    const Role needed = whom == For::learner ? Role::learner : Role::instructor;
    if (role == needed) return Leave::given;
    return role == Role::nobody ? Leave::sign_in : Leave::not_yours;
}

}  // namespace voltsill::server
