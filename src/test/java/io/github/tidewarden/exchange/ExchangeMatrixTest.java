package io.github.tidewarden.exchange;

import static io.github.tidewarden.exchange.Exchange.Phase.ASKING;
import static io.github.tidewarden.exchange.Exchange.Phase.DRAINED;
import static io.github.tidewarden.exchange.Exchange.Phase.DRAINING;
import static io.github.tidewarden.exchange.Exchange.Phase.FILLED;
import static io.github.tidewarden.exchange.Exchange.Phase.FILLING;
import static io.github.tidewarden.exchange.Exchange.Phase.HOLDING;
import static io.github.tidewarden.exchange.Exchange.Phase.IDLE;
import static io.github.tidewarden.exchange.Exchange.Phase.WAITING;
import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.exchange.Exchange.Outcome;
import io.github.tidewarden.exchange.Exchange.Phase;
import io.github.tidewarden.exchange.Exchange.Use;
import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.sensing.Measure;
import io.github.tidewarden.sensing.Quality;
import io.github.tidewarden.sensing.Signal;
import io.github.tidewarden.sensing.Trend;
import java.time.Instant;
import java.time.LocalDate;
import java.util.ArrayList;
import java.util.EnumMap;
import java.util.EnumSet;
import java.util.List;
import java.util.Map;
import java.util.Set;
import org.jspecify.annotations.Nullable;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.EnumSource;

/** Every phase, in every circumstance: where it goes, and where it never goes. */
class ExchangeMatrixTest {
  private static final long SECOND = 1_000_000_000L;
  private static final Moment NOW =
      new Moment(Instant.parse("2026-01-15T14:00:00Z"), 20_000 * SECOND, true);
  private static final Portion DRAINS =
      new Portion(
          1,
          LocalDate.of(2026, 1, 15),
          "2026-01-15#0",
          500,
          212_000,
          212_000,
          120_000,
          Portion.UNMEASURED,
          0,
          0,
          false,
          Portion.Stage.DRAINING,
          0,
          Portion.UNMEASURED);
  private static final Portion FILLS = DRAINS.drained(500, 207_833);

  /** The level as the last two minutes show it. */
  private enum Level {
    BEFORE(212, 0),
    DRAINED(207.8, 0),
    HALFWAY(210, 0),
    FAR_BELOW(190, 0),
    FAR_ABOVE(235, 0),
    TOO_LOW(179, 0),
    TOO_HIGH(241, 0),
    FALLING(208, -3),
    FALLING_FAR(190, -3),
    RISING(208, 3),
    UNKNOWN(Double.NaN, 0);

    private final double millimetres;
    private final double perMinute;

    Level(double millimetres, double perMinute) {
      this.millimetres = millimetres;
      this.perMinute = perMinute;
    }

    Signal signal() {
      return signal(millimetres);
    }

    Trend trend() {
      Trend heard = Trend.EMPTY;
      for (int second = -120; second <= 0; second++) {
        Moment then = new Moment(NOW.wall(), NOW.monoNanos() + second * SECOND, true);
        heard = heard.with(signal(millimetres + perMinute * second / 60), then);
      }
      return heard;
    }

    private static Signal signal(double millimetres) {
      Quality quality = Double.isNaN(millimetres) ? Quality.BAD : Quality.GOOD;
      return new Signal("sump", Measure.LEVEL, millimetres, quality, "", 0, true, 1);
    }
  }

  /** Whence water may go out: from the last three only while no pump has run for the portion. */
  private static final Set<Phase> MAY_DRAIN = EnumSet.of(ASKING, DRAINING, IDLE, WAITING, HOLDING);

  private static final Map<Level, Trend> TRENDS = new EnumMap<>(Level.class);

  static {
    for (Level level : Level.values()) {
      TRENDS.put(level, level.trend());
    }
  }

  /**
   * All that may differ from one cycle to another.
   *
   * @param calmSeconds how long nothing has run
   * @param beganSeconds how long the portion has been under way
   * @param usedSeconds how long its pumps have run
   */
  private record Circumstance(
      Level level,
      double dueLitres,
      boolean stopped,
      boolean running,
      int calmSeconds,
      int beganSeconds,
      int usedSeconds,
      boolean ended,
      boolean waits,
      boolean held) {}

  private static List<Circumstance> circumstances() {
    List<Circumstance> all = new ArrayList<>();
    for (Level level : Level.values()) {
      for (double due : new double[] {0, 0.5}) {
        for (int bits = 0; bits < 32; bits++) {
          for (int calm : new int[] {0, 31, 91, 601, 7_201}) {
            for (int began : new int[] {0, 300, 7_201}) {
              for (int used : new int[] {0, 1, 100, 121, 200}) {
                all.add(
                    new Circumstance(
                        level,
                        due,
                        (bits & 1) == 0,
                        (bits & 2) == 0,
                        calm,
                        began,
                        used,
                        (bits & 4) != 0,
                        (bits & 8) != 0,
                        (bits & 16) != 0));
              }
            }
          }
        }
      }
    }
    return all;
  }

  private static Exchange.Proposal propose(
      ExchangeSpec spec, Phase from, @Nullable Portion portion, Circumstance is) {
    Exchange.State state =
        new Exchange.State(
            from,
            NOW.monoNanos() - is.calmSeconds() * SECOND,
            NOW.monoNanos() - is.beganSeconds() * SECOND,
            NOW.monoNanos(),
            NOW.monoNanos() - 120 * SECOND,
            NOW.monoNanos());
    Use use =
        new Use(
            is.running(),
            is.usedSeconds() * SECOND,
            is.running() ? is.usedSeconds() * SECOND : 0,
            is.usedSeconds() * SECOND);
    Use none = new Use(false, 0, 0, 0);
    boolean fills = portion != null && portion.stage() == Portion.Stage.FILLING;
    boolean paired = spec.kind() == ExchangeSpec.Kind.PAIRED;
    return new Exchange(spec)
        .propose(
            state,
            new Exchange.World(
                NOW,
                is.dueLitres(),
                Long.MAX_VALUE,
                portion,
                is.level().signal(),
                TRENDS.get(is.level()),
                is.stopped() ? List.of("leak") : List.of(),
                is.ended() ? List.of("hold") : List.of(),
                is.waits() ? List.of("cellar serves reef") : List.of(),
                fills ? none : use,
                fills || paired ? use : none,
                Rates.configured(spec),
                0,
                10,
                Double.NaN,
                false,
                0,
                is.held()));
  }

  private static Set<Phase> reached(ExchangeSpec spec, Phase from, @Nullable Portion portion) {
    Set<Phase> reached = EnumSet.noneOf(Phase.class);
    for (Circumstance is : circumstances()) {
      reached.add(propose(spec, from, portion, is).state().phase());
    }
    return reached;
  }

  /** Written out, so that a new way between two phases must be written here too. */
  @ParameterizedTest
  @EnumSource(Phase.class)
  void goesNoOtherWayThanThese(Phase from) {
    boolean mayDrain = MAY_DRAIN.contains(from);
    for (ExchangeSpec spec : List.of(ExchangeBench.PORTIONS, ExchangeBench.PAIRED)) {
      assertThat(reached(spec, from, null)).isEqualTo(EnumSet.of(IDLE, WAITING, HOLDING, ASKING));
      assertThat(reached(spec, from, DRAINS))
          .isEqualTo(mayDrain ? EnumSet.of(DRAINING, DRAINED) : EnumSet.of(DRAINED));
    }
    assertThat(reached(ExchangeBench.PORTIONS, from, FILLS))
        .isEqualTo(from == FILLED ? EnumSet.of(FILLED) : EnumSet.of(DRAINED, FILLING, FILLED));
  }

  /** A pump is wanted only in its own phase, and then against nothing that speaks against it. */
  @ParameterizedTest
  @EnumSource(Phase.class)
  void wantsAPumpOnlyInItsPhase(Phase from) {
    int drained = 0;
    int filled = 0;
    for (Circumstance is : circumstances()) {
      for (Portion portion : new Portion[] {null, DRAINS, FILLS}) {
        Exchange.Proposal proposal = propose(ExchangeBench.PORTIONS, from, portion, is);
        String told = from + " " + portion + " " + is + " " + proposal;
        Phase to = proposal.state().phase();
        if (proposal.drain()) {
          drained++;
          assertThat(portion).as(told).isSameAs(DRAINS);
          assertThat(from).as(told).isIn(MAY_DRAIN);
          assertThat(from == ASKING || from == DRAINING || is.usedSeconds() == 0).as(told).isTrue();
          assertThat(is.ended()).as(told).isFalse();
          assertThat(to).as(told).isEqualTo(DRAINING);
          assertThat(is.usedSeconds()).as(told).isLessThan(120);
        }
        if (proposal.fill()) {
          filled++;
          assertThat(portion).as(told).isSameAs(FILLS);
          assertThat(from).as(told).isNotEqualTo(FILLED);
          assertThat(to).as(told).isEqualTo(FILLING);
          assertThat(is.usedSeconds()).as(told).isLessThan(180);
        }
        if (proposal.drain() || proposal.fill()) {
          assertThat(proposal.drain() && proposal.fill()).as(told).isFalse();
          assertThat(is.stopped()).as(told).isFalse();
          assertThat(is.level()).as(told).isNotEqualTo(Level.UNKNOWN);
          assertThat(proposal.outcome()).as(told).isNull();
        }
        assertThat(proposal.why()).as(told).isNotBlank();
      }
    }
    assertThat(drained > 0).isEqualTo(MAY_DRAIN.contains(from));
    assertThat(filled > 0).isEqualTo(from != FILLED);
  }

  /** What is found out belongs to the portion that is under way, and to a level at rest. */
  @ParameterizedTest
  @EnumSource(Phase.class)
  void tellsOnlyWhatThePortionCanTell(Phase from) {
    for (Circumstance is : circumstances()) {
      for (Portion portion : new Portion[] {null, DRAINS, FILLS}) {
        Exchange.Proposal proposal = propose(ExchangeBench.PORTIONS, from, portion, is);
        Outcome outcome = proposal.outcome();
        if (outcome == null) {
          continue;
        }
        String told = from + " " + portion + " " + is + " " + proposal;
        assertThat(is.stopped()).as(told).isFalse();
        if (outcome instanceof Outcome.Reserve) {
          assertThat(is.ended() || is.waits() || !is.held()).as(told).isFalse();
          assertThat(portion).as(told).isNull();
          assertThat(is.level())
              .as(told)
              .isIn(Level.BEFORE, Level.DRAINED, Level.HALFWAY, Level.FAR_BELOW, Level.FAR_ABOVE);
          continue;
        }
        assertThat(is.running()).as(told).isFalse();
        assertThat(is.calmSeconds()).as(told).isGreaterThanOrEqualTo(91);
        if (outcome instanceof Outcome.Drained) {
          assertThat(portion).as(told).isSameAs(DRAINS);
        } else if (outcome instanceof Outcome.Done) {
          assertThat(portion).as(told).isSameAs(FILLS);
          assertThat(proposal.state().phase()).as(told).isEqualTo(FILLED);
        } else {
          assertThat(portion).as(told).isNotNull();
        }
      }
    }
  }
}
