package io.github.tidewarden.control;

import static org.assertj.core.api.Assertions.assertThat;

import java.time.Duration;
import java.time.Instant;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/**
 * A keeper measures residual oxidant. What is safe is 0.06 mg/L as Cl2 (Schroeder et al. 2010;
 * Reiser et al. 2011); molar masses are 70.906 for Cl2, 159.808 for Br2 and 47.998 for O3.
 */
class ResidualNoteTest {
  private final ProbeBench keeper = ProbeBench.free();
  private final Bench bench = keeper.bench;

  @BeforeEach
  void aDoseRuns() {
    keeper.windowOpens(Bench.WINDOW_OPENS);
    bench.live(30);
    assertThat(bench.runs()).isTrue();
  }

  private Effect.Answer measures(String amount, String as) {
    return Objects.requireNonNull(keeper.asks("note", "residual", amount, "as", as));
  }

  @Test
  void overWhatIsSafeADoseEndsInTheSameStepWhateverTheDiskDoes() {
    bench.disk = Bench.Disk.HANGS;
    int commands = bench.commands.size();
    assertThat(measures("0.2 mg/L", "Cl2"))
        .isEqualTo(
            new Effect.Answer(
                1,
                true,
                "rosa measured a residual oxidant of 0.200 mg/L as Cl2: over the 0.060 mg/L"
                    + " published as safe, so ozone rests until a later one is not (redox is not"
                    + " residual oxidant)"));
    assertThat(bench.runs()).isFalse();
    assertThat(bench.commands.subList(commands, bench.commands.size()))
        .singleElement()
        .matches(command -> !command.runs());
    assertThat(bench.last(Kind.REST).why())
        .isEqualTo(
            "residual-oxidant: 0.200 mg/L as Cl2 was measured by rosa, over the 0.060 mg/L"
                + " published as safe; find out why, and `note residual` once it is not (redox is"
                + " not residual oxidant)");
    assertThat(bench.last(Kind.ACT).fields())
        .containsEntry("name", "residual-oxidant")
        .containsEntry("residual-ng-l", 200_000L)
        .containsEntry("given-ng-l", 200_000L)
        .containsEntry("as", "Cl2");
    bench.live(11);
    assertThat(bench.told("lagoon/state").get("why").toString()).startsWith("residual-oxidant: ");
    assertThat(bench.told("lagoon/state").get("residual-oxidant").toString())
        .contains("by=rosa, mg-per-l-as-cl2=0.200, over=true, not=redox is not residual oxidant");
  }

  /** 0.06 mg/L as Cl2 is 0.13523 as Br2 and 0.040615 as O3. */
  @ParameterizedTest
  @CsvSource({
    "0.06 mg/L, Cl2, true",
    "0.0601 mg/L, Cl2, false",
    "0.135 mg/L, Br2, true",
    "0.136 mg/L, Br2, false",
    "0.0406 mg/L, O3, true",
    "0.041 mg/L, O3, false",
    "5 mg/L, Br2, false",
    "0 mg/L, Cl2, true",
  })
  void itIsHeldAgainstWhatIsSafeAsChlorine(String amount, String as, boolean goesOn) {
    assertThat(measures(amount, as).done()).isTrue();
    assertThat(bench.runs()).isEqualTo(goesOn);
    if (!as.equals("Cl2")) {
      assertThat(bench.last(Kind.ACT).why()).contains(" as " + as + ", ").contains(" mg/L as Cl2");
    }
  }

  @Test
  void itStaysSoOverStartsPowerCutsAndNightsUntilALaterOneIsNotOver() {
    measures("0.07 mg/L", "Cl2");
    bench.restarts(Duration.ofSeconds(5));
    bench.reboots(Duration.ofMinutes(5));
    bench.connect();
    keeper.windowOpens(Bench.WINDOW_OPENS.plus(Duration.ofDays(1)));
    bench.live(900);
    assertThat(bench.runs()).isFalse();
    assertThat(bench.last(Kind.REFUSED).why()).startsWith("residual-oxidant: 0.070 mg/L as Cl2");
    assertThat(Checkpoint.read(Checkpoint.of(bench.state.remembered())))
        .usingRecursiveComparison()
        .isEqualTo(bench.state.remembered());
    measures("0.065 mg/L", "Cl2");
    bench.live(5);
    assertThat(bench.runs()).as("lower, and still over").isFalse();
    measures("0.06 mg/L", "Cl2");
    bench.live(5);
    assertThat(bench.runs()).isTrue();
  }

  /** The earlier one gets to the disk after the later one took effect. */
  @Test
  void oneThatWasMeasuredEarlierLiftsNothing() {
    bench.disk = Bench.Disk.HANGS;
    assertThat(keeper.asks("note", "residual", "0.01 mg/L", "as", "Cl2")).isNull();
    measures("0.3 mg/L", "Cl2");
    bench.live(5);
    bench.syncs();
    bench.live(900);
    assertThat(bench.runs()).isFalse();
    assertThat(bench.memory().care().residual().nanograms()).isEqualTo(300_000);
    measures("0.01 mg/L", "Cl2");
    assertThat(bench.memory().care().harms()).isFalse();
  }

  /** A reservation on its way to the disk is no way round it. */
  @Test
  void aRunThatWaitsForTheDiskDoesNotBegin() {
    keeper.asks("hold", "name", "ozone", "for", "10 min");
    bench.live(300);
    bench.disk = Bench.Disk.HANGS;
    for (int i = 0; i < 900 && bench.state.tanks().get("lagoon").pending() == null; i++) {
      bench.live(1);
    }
    assertThat(bench.state.tanks().get("lagoon").pending()).isNotNull();
    measures("0.2 mg/L", "Cl2");
    bench.syncs();
    bench.live(600);
    assertThat(bench.runs()).isFalse();
  }

  /** A note lifts what a note forbade, and nothing else. */
  @Test
  void aGoodOneLiftsNothingElse() {
    keeper.asks("hold", "name", "ozone", "for", "2 h");
    measures("0.01 mg/L", "Cl2");
    bench.live(900);
    assertThat(bench.runs()).isFalse();
  }

  @ParameterizedTest
  @CsvSource(
      delimiter = '|',
      value = {
        "-0.01 mg/L | Cl2 | is not between 0 and 5 mg/L; look at the unit of the test, measure",
        "5.01 mg/L | Cl2 | is not between 0 and 5 mg/L",
        "NaN mg/L | Cl2 | residual: ",
        "0.03 | Cl2 | residual: ",
        "0.03 ppb | Cl2 | residual: ",
        "0.03 mg/L | '' | it does not say what it is given as (as): one of O3, Cl2, Br2",
        "0.03 mg/L | Br | \"Br\" is none of O3, Cl2, Br2",
      })
  void whatCannotBeMeantIsRefusedAndChangesNothing(String amount, String as, String why) {
    Effect.Answer answer = measures(amount, as);
    assertThat(answer.done()).isFalse();
    assertThat(answer.what()).contains(why);
    assertThat(bench.memory().care().residual()).isNull();
    assertThat(bench.runs()).isTrue();
  }

  @Test
  void aTankWithoutOzoneHasNoneToHold() {
    Bench other =
        new Bench(
            Specs.site(Specs.with(Specs.lagoon(), (io.github.tidewarden.dosing.OzoneSpec) null)),
            Instant.parse("2026-01-14T20:00:00Z"));
    other.connect();
    String request =
        "{\"act\":\"note\",\"tank\":\"lagoon\",\"by\":\"rosa\",\"id\":\"1\",\"residual\":\"0.1 mg/L\","
            + "\"as\":\"Cl2\",\"sent\":\"%s\"}";
    other.event(
        new Event.Asked(
            new Request(
                1,
                request.formatted(other.wall).getBytes(java.nio.charset.StandardCharsets.UTF_8))));
    assertThat(other.answers)
        .singleElement()
        .matches(answer -> answer.what().startsWith("lagoon has no ozone to be held by it"));
  }

  /** A tank under a new name may be the one that it was measured in. */
  @Test
  void aTankThatIsGoneWithItLatchesTheNewOne() {
    TankMemory over =
        TankMemory.BLANK.apply(
            AuditRecord.of(
                bench.now(),
                "lagoon",
                Kind.ACT,
                "",
                Map.of("act", "note", "by", "rosa", "residual-ng-l", 70_000L)),
            "boot-1");
    assertThat(over.holds("boot-1", bench.now())).isTrue();
    assertThat(TankMemory.BLANK.holds("boot-1", bench.now())).isFalse();
    assertThat(List.of(over.care().residual().by())).containsExactly("rosa");
  }
}
