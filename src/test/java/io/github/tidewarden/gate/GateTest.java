package io.github.tidewarden.gate;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatIllegalArgumentException;
import static org.assertj.core.api.Assertions.assertThatIllegalStateException;

import io.github.tidewarden.interlock.TankFunction;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

/** What the gate is made of, and rest. */
class GateTest {
  private static final long MINUTE = GateBench.MINUTE;

  private static final ActuatorSpec GENERATOR = GateBench.generator(30, GateBench.WITH_LEASE);
  private static final ActuatorSpec DRAIN =
      new ActuatorSpec(
          "drain", TankFunction.EXCHANGE, "lab/lagoon/drain/set", "on {seconds}", "off", 12);

  @Test
  void restIsAlwaysGivenAndNeverExpires() {
    Command rest = GateBench.gate(30, GateBench.WITH_LEASE, GateBench.limits()).rest("generator");
    assertThat(rest.runs()).isFalse();
    assertThat(rest.tank()).isEqualTo("lagoon");
    assertThat(rest.actuator()).isEqualTo("generator");
    assertThat(rest.topic()).isEqualTo("lab/lagoon/ozone/set");
    assertThat(rest.payload()).isEqualTo("{\"on\":false}");
    assertThat(rest.leaseSeconds()).isZero();
    assertThat(rest.expirySeconds()).isZero();
    assertThat(rest).hasToString("lagoon/generator rest");
  }

  @Test
  void restForAllIsSortedByName() {
    Gate gate = new Gate("lagoon", List.of(GENERATOR, DRAIN), GateBench.limits(), null);
    assertThat(gate.restAll())
        .extracting(Command::toString)
        .containsExactly("lagoon/drain rest", "lagoon/generator rest");
  }

  @Test
  void thereIsNoRestForAnotherTanksActuator() {
    Gate gate = new Gate("lagoon", List.of(GENERATOR), GateBench.limits(), null);
    assertThatIllegalArgumentException()
        .isThrownBy(() -> gate.rest("drain"))
        .withMessage("lagoon has no actuator drain");
  }

  @Test
  void aTankWithoutOzoneRestsAndDecidesNothing() {
    Gate gate = new Gate("nursery", List.of(DRAIN), null, null);
    assertThat(gate.restAll()).hasSize(1);
    assertThatIllegalStateException()
        .isThrownBy(() -> gate.decideOzone(null, new GateBench().world()));
  }

  @Test
  void theGeneratorMustBeThereAndGiveOzone() {
    assertThatIllegalArgumentException()
        .isThrownBy(() -> new Gate("lagoon", List.of(DRAIN), GateBench.limits(), null));
    ActuatorSpec pump =
        new ActuatorSpec("generator", TankFunction.EXCHANGE, "t", "on {seconds}", "off", 12);
    assertThatIllegalArgumentException()
        .isThrownBy(() -> new Gate("lagoon", List.of(pump), GateBench.limits(), null));
  }

  @Test
  void noTwoActuatorsShareANameOrATopic() {
    ActuatorSpec sameName =
        new ActuatorSpec("generator", TankFunction.EXCHANGE, "elsewhere", "on", "off", 12);
    ActuatorSpec sameTopic =
        new ActuatorSpec("fill", TankFunction.EXCHANGE, GENERATOR.topic(), "on", "off", 12);
    for (ActuatorSpec other : List.of(sameName, sameTopic)) {
      assertThatIllegalArgumentException()
          .isThrownBy(() -> new Gate("lagoon", List.of(GENERATOR, other), null, null));
    }
  }

  /** SAFETY.md, "Limits that the project chose": drop-out 6 to 120 s. */
  @ParameterizedTest
  @CsvSource({"5,false", "6,true", "120,true", "121,false", "0,false", "-30,false"})
  void aDropOutIsFrom6To120Seconds(int seconds, boolean allowed) {
    if (allowed) {
      GateBench.gate(seconds, GateBench.WITH_LEASE, GateBench.limits());
    } else {
      assertThatIllegalArgumentException()
          .isThrownBy(() -> GateBench.gate(seconds, GateBench.WITH_LEASE, GateBench.limits()));
    }
  }

  /** SAFETY.md F34: 0, absent or not a number is never "no limit". */
  @ParameterizedTest
  @ValueSource(
      doubles = {
        Double.NaN,
        Double.POSITIVE_INFINITY,
        Double.NEGATIVE_INFINITY,
        -400,
        0,
        -0.0,
        0.4,
        49.9,
        700.1,
        4000
      })
  void aCeilingIsWithinWhatAProbeCanRead(double ceiling) {
    assertThatIllegalArgumentException()
        .isThrownBy(
            () ->
                new Gate.OzoneLimits("generator", ceiling, 60 * MINUTE, 120 * MINUTE, 5 * MINUTE));
  }

  @ParameterizedTest
  @ValueSource(doubles = {50, 400, 450, 657, 700})
  void aCeilingMayBeAgainstAnyElectrode(double ceiling) {
    assertThat(
            new Gate.OzoneLimits("generator", ceiling, 60 * MINUTE, 120 * MINUTE, 5 * MINUTE)
                .ceilingMillivolts())
        .isEqualTo(ceiling);
  }

  /** SAFETY.md prints them: ozone 240 min in 24 h; a reservation takes at most 5 min. */
  @ParameterizedTest
  @CsvSource({
    "1, 1, 1, true",
    "3600000000000, 14400000000000, 300000000000, true",
    "0, 1, 1, false",
    "-1, 1, 1, false",
    "1, 0, 1, false",
    "1, 14400000000001, 1, false",
    "1, 1, 0, false",
    "1, 1, 300000000001, false"
  })
  void limitsOfTimeArePositiveAndWithinWhatIsCompiledIn(
      long perNight, long per24h, long quantum, boolean allowed) {
    if (allowed) {
      assertThat(new Gate.OzoneLimits("generator", 400, perNight, per24h, quantum)).isNotNull();
    } else {
      assertThatIllegalArgumentException()
          .isThrownBy(() -> new Gate.OzoneLimits("generator", 400, perNight, per24h, quantum));
    }
  }

  @Test
  void noAccountIsNegative() {
    for (int account = 0; account < 3; account++) {
      GateBench bench = new GateBench();
      bench.spentInNight = account == 0 ? -1 : 0;
      bench.spentIn24h = account == 1 ? -1 : 0;
      bench.grant = account == 2 ? -1 : 0;
      assertThatIllegalArgumentException().isThrownBy(bench::world);
    }
  }

  @Test
  void aRunIsToldAsTheDeviceWantsIt() {
    Command run = new GateBench().running().gate.decideOzone(null, runnable()).command();
    assertThat(run.runs()).isTrue();
    assertThat(run.payload()).isEqualTo("{\"on\":true,\"for\":30}");
    assertThat(run.topic()).isEqualTo("lab/lagoon/ozone/set");
    assertThat(run.leaseSeconds()).isEqualTo(30);
    assertThat(run.expirySeconds()).isEqualTo(10);
    assertThat(run).hasToString("lagoon/generator run 30 s");
  }

  private static Gate.World runnable() {
    GateBench bench = new GateBench();
    bench.grant = 5 * MINUTE;
    return bench.world();
  }
}
