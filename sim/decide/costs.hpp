#pragma once

#include <string>
#include <vector>

namespace railseep {

/// Money and shop time, as expected or as spent.
struct Cost {
  double money = 0;  // in the currency of the costs file
  double time = 0;   // [s]

  Cost& operator+=(const Cost& other) { return money += other.money, time += other.time, *this; }
};
inline Cost operator+(Cost a, const Cost& b) { return a += b; }
inline Cost operator*(double share, const Cost& cost) { return {share * cost.money, share * cost.time}; }

/// What putting one kind of fault right takes besides the labour that the circuit file gives. The first line that fits
/// counts.
struct RepairPrice {
  std::string kind;   // word of fault_kinds(); empty: any
  std::string place;  // part of the place's name; empty: any
  std::string part;   // "O-ring and back-up ring"
  double price = 0;   // [money]
  double labour = 0;  // besides the circuit's [s]
  double second_failure =
      0;  // chance that such a part, as old as one that failed, fails too before the guarantee ends [-]
};

/// A kind of fault that no access group leads to: oil, batteries, wiring. It is looked into by itself.
struct OutsideWork {
  std::string name;                // "change the oil and filter"
  std::vector<std::string> kinds;  // words of fault_kinds()
  double time = 0;                 // to look into it [s]
  double money = 0;                // besides that time
};

/// What things cost in one shop: its user's data. The labour of access groups and parts stands in the circuit file.
struct Costs {
  std::string source;        // "assumed", or where the numbers come from
  std::string currency;      // any text: "EUR", "local money"
  double hourly_rate = 0;    // [money/h]
  double opening_money = 0;  // gaskets, cleaner, spilt oil, each time a group is opened
  double looking_time = 0;   // once it is open [s]
  double proving_time = 0;   // refill, warm up, hot restarts [s]
  double proving_money = 0;
  double elsewhere_time = 0;  // when nothing is wrong on the oil side: to find what else it is [s]
  double elsewhere_money = 0;
  double comeback_money = 0;  // goodwill, lost time of the customer
  double towing_money = 0;    // each comeback
  double comeback_time = 0;   // taking it in again, starting over [s]
  double together_labour =
      1;  // share of a part's labour that is left when its neighbour is renewed at the same time [-]
  std::vector<RepairPrice> repairs;
  std::vector<OutsideWork> outside;

  double of_time(double seconds) const { return hourly_rate * seconds / 3600; }  // [money]
  Cost work(double seconds, double money = 0) const { return {of_time(seconds) + money, seconds}; }
  const RepairPrice& repair(const std::string& kind,
                            const std::string& place) const;  // @throws Error when no line fits
};

/// Reads models/costs.json (models/costs.schema.json describes it). @throws Error with file, place, found, expected
Costs read_costs(const std::string& path);

}  // namespace railseep
