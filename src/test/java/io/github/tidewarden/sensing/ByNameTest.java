package io.github.tidewarden.sensing;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatNullPointerException;

import java.util.List;
import java.util.Map;
import java.util.SplittableRandom;
import java.util.TreeMap;
import org.junit.jupiter.api.Test;

/** A map by fixed names is held against a plain one. */
class ByNameTest {
  private static final ByName.Names NAMES =
      new ByName.Names(List.of("sump", "floor", "redox-b", "redox-a", "floor"));

  @Test
  void isASortedMapThatNoChangeTouches() {
    SplittableRandom random = new SplittableRandom(1);
    Map<String, Integer> plain = new TreeMap<>();
    ByName<Integer> values = NAMES.none();
    for (int change = 0; change < 100; change++) {
      String name = NAMES.sorted().get(random.nextInt(4));
      Integer value = random.nextInt(1_000);
      Map<String, Integer> was = Map.copyOf(plain);
      ByName<Integer> before = values;

      values = values.with(name, value);
      plain.put(name, value);

      assertThat(before).isEqualTo(was);
      assertThat(values).isEqualTo(plain);
      assertThat(values.keySet()).containsExactlyElementsOf(plain.keySet());
      for (String each : NAMES.sorted()) {
        assertThat(values.get(each)).isEqualTo(plain.get(each));
        assertThat(values.containsKey(each)).isEqualTo(plain.containsKey(each));
        assertThat(values.getOrDefault(each, -1)).isEqualTo(plain.getOrDefault(each, -1));
      }
    }
  }

  @Test
  void hasTheNamesOnceAndSorted() {
    assertThat(NAMES.sorted()).containsExactly("floor", "redox-a", "redox-b", "sump");
    assertThat(NAMES.each(place -> place))
        .isEqualTo(Map.of("floor", 0, "redox-a", 1, "redox-b", 2, "sump", 3));
    assertThat(NAMES.place("redox-b")).isEqualTo(2);
    assertThat(NAMES.place("salinity")).isNull();
  }

  @Test
  void takesOverWhatAnotherMapHasOfItsNames() {
    ByName<Integer> values = NAMES.of(Map.of("sump", 4, "salinity", 5));

    assertThat(values).isEqualTo(Map.of("sump", 4));
    assertThat(NAMES.of(values)).isSameAs(values);
    assertThat(new ByName.Names(List.of("sump")).of(values)).isEqualTo(values);
  }

  @Test
  void aChangeToTheSameIsNone() {
    Integer value = 1_000;
    ByName<Integer> values = NAMES.<Integer>none().with("sump", value);

    assertThat(values.with("sump", value)).isSameAs(values);
  }

  @Test
  void takesNoOtherName() {
    assertThatNullPointerException()
        .isThrownBy(() -> NAMES.<Integer>none().with("salinity", 1))
        .withMessage("salinity");
  }
}
