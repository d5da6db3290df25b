package io.github.tidewarden.control;

import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.sensing.ByName;
import java.time.Instant;
import java.time.ZoneOffset;
import java.util.Map;
import java.util.SplittableRandom;
import java.util.TreeMap;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** A map of tanks is held against a plain one through many changes. */
class TanksTest {
  private static final Tank TANK =
      new Tank(Specs.lagoon(), ZoneOffset.UTC, Specs.site(Specs.lagoon()).hardLimits(), 0, 2);

  @ParameterizedTest
  @ValueSource(ints = {1, 2, 3, 7, 64, 100})
  void isAMapThatKnowsWhoWakesFirst(int size) {
    SplittableRandom random = new SplittableRandom(size);
    Map<String, TankState> plain = new TreeMap<>();
    for (int i = 0; i < size; i++) {
      plain.put("tank-" + i, waking(random.nextLong(1_000)));
    }
    ByName.Names names = new ByName.Names(plain.keySet());
    Tanks tanks = Tanks.of(names, plain);
    for (int change = 0; change < 300; change++) {
      String name = "tank-" + random.nextInt(size);
      TankState state = waking(random.nextLong(1_000));
      Map<String, TankState> was = Map.copyOf(plain);
      Tanks before = tanks;

      tanks = tanks.with(name, state);
      plain.put(name, state);

      assertThat(before).isEqualTo(was);
      assertThat(tanks).isEqualTo(plain);
      assertThat(tanks.get(name)).isSameAs(state);
      assertThat(tanks.wakeNanos())
          .isEqualTo(plain.values().stream().mapToLong(TankState::wakeNanos).min().orElseThrow());
    }
    assertThat(tanks.keySet()).containsExactlyElementsOf(plain.keySet());
    assertThat(tanks.get("another")).isNull();
    assertThat(tanks).doesNotContainKey("another");
    assertThat(Tanks.of(names, tanks)).isSameAs(tanks);
  }

  /** A tank that wants to be asked again then. */
  private static TankState waking(long nanos) {
    Moment now = new Moment(Instant.EPOCH, 0, false);
    return TANK.boot(TankMemory.BLANK, "boot-1", null, now).failed(false, 0, nanos);
  }
}
