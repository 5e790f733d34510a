// Faults: as text, as changes of a circuit, and what is said when one cannot be.

#include "circuit/faults.hpp"

#include <gtest/gtest.h>

#include "shipped_circuits.hpp"

namespace railseep {
namespace {

TEST(Faults, EveryPossibleOneIsReadBackFromItsText) {
  for (const std::string& path : shipped_circuits()) {
    const Circuit circuit = read_circuit(path);
    const std::vector<PossibleFault> all = possible_faults(circuit);
    ASSERT_GT(all.size(), circuit.sites.size());
    for (const PossibleFault& possible : all) {
      EXPECT_LT(possible.least, possible.most) << possible.place;
      for (const double severity : {possible.least, possible.most}) {
        const Fault fault{possible.place, std::string(possible.kind->word), severity};
        const Fault back = parse_fault(fault_text(fault, circuit), circuit);
        EXPECT_EQ(back.place, fault.place);
        EXPECT_EQ(back.kind, fault.kind);
        EXPECT_NEAR(back.severity, severity, 5e-3 * std::abs(severity))
            << fault_text(fault, circuit);  // the text has three digits
      }
    }
  }
}

TEST(Faults, EveryLeakBecomesOneLinkFromItsSite) {
  const Circuit circuit = valley_v8();
  for (const PossibleFault& possible : possible_faults(circuit)) {
    if (possible.kind->change != FaultKind::Change::opens_leak) continue;
    const Fault fault{possible.place, std::string(possible.kind->word), possible.most};
    const Circuit changed = with_faults(circuit, std::vector{fault});
    ASSERT_EQ(changed.links.size(), circuit.links.size() + 1);
    const Link& leak = changed.links.back();
    const Site& site = circuit.sites[circuit.find_site(fault.place)];
    EXPECT_EQ(leak.name, leak_name(fault));
    EXPECT_EQ(leak.from, site.node);
    EXPECT_EQ(leak.to, site.to);
    EXPECT_EQ(kind_of(leak.element), possible.kind->word);
    EXPECT_EQ(get_parameter(leak.element, fault.kind == "gap" ? "clearance" : "diameter"), possible.most);
  }
}

TEST(Faults, EveryOtherChangesOneNumberOfItsLink) {
  const Circuit circuit = valley_v8();
  for (const PossibleFault& possible : possible_faults(circuit)) {
    const FaultKind& kind = *possible.kind;
    if (kind.change == FaultKind::Change::opens_leak) continue;
    const Circuit changed =
        with_faults(circuit, std::vector{Fault{possible.place, std::string(kind.word), possible.most}});
    ASSERT_EQ(changed.links.size(), circuit.links.size());
    for (std::size_t i = 0; i < circuit.links.size(); ++i) {
      const auto before = parameters_of(circuit.links[i].element), after = parameters_of(changed.links[i].element);
      for (std::size_t k = 0; k < before.size(); ++k) {
        double expected = before[k].value;
        if (circuit.links[i].name == possible.place && before[k].key == kind.key)
          expected = kind.change == FaultKind::Change::sets         ? possible.most
                     : kind.change == FaultKind::Change::multiplies ? expected * possible.most
                                                                    : expected + possible.most;
        EXPECT_EQ(after[k].value, expected) << possible.place << ", " << kind.word << ", " << before[k].key;
      }
    }
  }
}

TEST(Faults, LeaveTheOriginalCircuitUntouched) {
  const Circuit circuit = valley_v8();
  const std::string before = circuit_text(circuit);
  for (const PossibleFault& possible : possible_faults(circuit))
    with_faults(circuit, std::vector{Fault{possible.place, std::string(possible.kind->word), possible.most}});
  EXPECT_EQ(circuit_text(circuit), before);
}

TEST(Faults, ComeTogether) {
  const Circuit circuit = valley_v8();
  const std::vector<Fault> two{parse_fault("outlet fitting: hole 0.4 mm", circuit),
                               parse_fault("high-pressure pump: wear 5 x", circuit)};
  const Circuit changed = with_faults(circuit, two);
  EXPECT_EQ(get_parameter(changed.links[changed.find_link("high-pressure pump")].element, "wear"), 5);
  EXPECT_EQ(get_parameter(changed.links[changed.find_link("outlet fitting: hole")].element, "diameter"), 0.4e-3);
}

TEST(Faults, SayWhatWouldBeRight) {
  const Circuit circuit = valley_v8();
  const std::pair<const char*, const char*> bad[] = {
      {"outlet fiting: hole 0.4 mm",
       "fault: there is no place \"outlet fiting\" in this circuit; did you mean \"outlet fitting\"."},
      {"outlet fitting: wear 3 x", "fault: \"outlet fitting\" has no fault \"wear\"; it can have \"hole\", \"gap\"."},
      {"outlet fitting: crack 3 mm",
       "fault: \"outlet fitting\" has no fault \"crack\"; it can have \"hole\", \"gap\"."},
      {"high-pressure pump: hole 1 mm",
       "fault: \"high-pressure pump\" has no fault \"hole\"; it can have \"wear\", \"lost capacity\", \"drive lost\", "
       "\"inlet blocked\"."},
      {"outlet fitting: hole", "fault: \"outlet fitting: hole\" has no size; write one such as \"0.1 mm\"."},
      {"outlet fitting: hole ",
       "fault \"outlet fitting: hole \": the text is empty; write a length such as \"0.8 mm\"."},
      {"outlet fitting: hole 0.4",
       "fault \"outlet fitting: hole 0.4\": \"0.4\" has no unit; write a length such as \"0.8 mm\"."},
      {"outlet fitting: hole 3 psi",
       "fault \"outlet fitting: hole 3 psi\": \"3 psi\" is a pressure; write a length such as \"0.8 mm\"."},
      {"outlet fitting hole 0.4 mm",
       "fault: \"outlet fitting hole 0.4 mm\" has no \": \"; write PLACE: KIND SIZE, such as \"left rail end plug: "
       "hole 0.5 mm\"."},
      {"outlet fitting: ", "fault: \"outlet fitting\" has no fault \"\"; it can have \"hole\", \"gap\"."},
  };
  for (const auto& [text, message] : bad) EXPECT_EQ(error_of([&, t = text] { parse_fault(t, circuit); }), message);
  EXPECT_NE(error_of([&] { parse_fault("", circuit); }), "");
}

TEST(Faults, RefuseASizeThatCanNotBe) {
  const Circuit circuit = valley_v8();
  for (const char* text :
       {"outlet fitting: hole -1 mm", "outlet fitting: hole 5 m", "high-pressure pump: lost capacity 120 %",
        "outlet fitting: gap 5 mm", "high-pressure pump: wear -1 x", "pressure regulator: stuck open 200 %"}) {
    const Fault fault = parse_fault(text, circuit);
    const std::string message = error_of([&] { with_faults(circuit, std::vector{fault}); });
    EXPECT_TRUE(message.starts_with("fault at \"" + fault.place + "\"")) << message;
    EXPECT_NE(message.find("out of range; write "), std::string::npos) << message;
  }
  EXPECT_NE(error_of([&] { with_faults(circuit, std::vector{Fault{"nowhere", "hole", 1e-3}}); }), "");
  EXPECT_NE(error_of([&] { with_faults(circuit, std::vector{Fault{"outlet fitting", "wear", 2}}); }), "");
}

// A leak class that the circuit does not give for a site has no film dimensions: it must not be opened.
TEST(Faults, OnlyThoseTheSiteCanHaveAreOpened) {
  const Circuit circuit = valley_v8();
  EXPECT_EQ(error_of([&] { parse_fault("sensor port seal: gap 50 um", circuit); }),
            "fault: \"sensor port seal\" has no fault \"gap\"; it can have \"hole\".");
}

// A leak is fed by the passage it is in: 50 mm written for 0.5 mm must not pass as a hole with no pressure at all.
TEST(Faults, HoleWiderThanThePassageThatFeedsItIsRefused) {
  const Circuit circuit = valley_v8();  // stand tubes of 9 mm
  const std::string message = error_of([&] { parse_fault("left rail front end plug: hole 50 mm", circuit); });
  EXPECT_NE(message.find("wider than the passage that feeds it, 9 mm"), std::string::npos) << message;
  EXPECT_NE(message.find("left rail front end plug"), std::string::npos);
  EXPECT_EQ(error_of([&] { parse_fault("left rail front end plug: hole 8.9 mm", circuit); }), "");
  EXPECT_NE(error_of([&] { parse_fault("left rail front end plug: lifting seal 9.1 mm", circuit); }), "");
}

}  // namespace
}  // namespace railseep
