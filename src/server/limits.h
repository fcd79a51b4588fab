#pragma once
/// How often somebody may ask: a bucket of tokens each, in bounded memory.
///
///     tokens(t) = min(burst, tokens(t0) + rate * (t - t0)),   a call takes one
///
/// A new peer begins with a full bucket. When there are more peers than are remembered, the one not heard of
/// for the longest is forgotten; what it had used up is forgotten with it, so a bucket of everybody together
/// stands behind those that guard a secret.
#include <chrono>
#include <list>
#include <string>
#include <unordered_map>

namespace voltsill::server {

struct Rate {
    double burst = 1, per_second = 1;
};

class Buckets {
  public:
    using Clock = std::chrono::steady_clock;
    explicit Buckets(Rate rate, std::size_t most = 4096) : rate_(rate), most_(most) {}
    /// Takes `count` tokens; false, and takes nothing, when there are not as many.
    bool take(const std::string& who, Clock::time_point now, double count = 1);
    /// Whether there is a whole one.
    bool has(const std::string& who, Clock::time_point now) { return take(who, now, 1) && give_back(who); }
    bool give_back(const std::string& who);  ///< what was taken last; always true
    std::size_t size() const { return last_.size(); }

  private:
    struct Bucket {
        std::string who;
        double tokens;
        Clock::time_point at;
    };
    Bucket& of(const std::string& who, Clock::time_point now);

    Rate rate_;
    std::size_t most_;
    std::list<Bucket> last_;  ///< last heard of first
    std::unordered_map<std::string, std::list<Bucket>::iterator> by_name_;
};

/// Of connections over TLS that have not asked for anything yet (handshakes.h). A class may stand behind one address,
/// and all of it comes back at once when the network does: two connections each.
struct HandshakeLimits {
    Rate few{8, 0.5};     ///< of each address, whatever others do
    Rate peer{700, 60};   ///< of one address
    Rate all{1000, 200};  ///< below 2 ms of the serving thread each (RSA of 2048 bits by GnuTLS; from memory)
    std::size_t open_of_peer = 400, open = 600;
};

/// What a hall allows (docs/hall.md has the reasons).
struct HallLimits {
    Rate peer{2000, 400};         ///< calls of one address: a class may stand behind one
    Rate learner{60, 8};          ///< calls of one learner
    Rate builds{10, 0.1};         ///< of one learner: marking takes time
    Rate hints{20, 0.5};          ///< of one learner: so does a diagnosis
    Rate exports{3, 0.05};        ///< of one learner: all that is kept, and who reads slowly holds it
    HandshakeLimits handshakes;
    Rate joins{350, 1};           ///< seats taken from one address
    Rate wrong_codes{30, 0.3};    ///< of one address
    Rate all_wrong_codes{300, 3};
    Rate wrong_passphrases{5, 0.05}, all_wrong_passphrases{20, 0.2};
    std::size_t learners = 500, readings = 3000, submissions = 100;  ///< of a class; of one learner
    std::size_t streams = 3, instructor_streams = 8;                 ///< at once, of one learner; of all instructors
};

}  // namespace voltsill::server
