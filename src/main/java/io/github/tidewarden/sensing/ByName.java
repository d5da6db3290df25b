package io.github.tidewarden.sensing;

import java.util.AbstractMap;
import java.util.Collection;
import java.util.Collections;
import java.util.HashMap;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.Set;
import java.util.TreeSet;
import java.util.function.IntFunction;
import org.jspecify.annotations.Nullable;

/**
 * Values by name, where the names stand in the configuration: sorted by name, and immutable. It is
 * what the core looks into and makes anew with every event, so a look is one into a table that all
 * maps of the same names share, and a change of one value copies an array.
 *
 * @param <V> of the values, never null
 */
public final class ByName<V> extends AbstractMap<String, V> {

  /** The names that there are, sorted. */
  public static final class Names {
    private final List<String> sorted;
    private final Map<String, Integer> places = new HashMap<>();

    /** These names, each once. */
    public Names(Collection<String> names) {
      sorted = List.copyOf(new TreeSet<>(names));
      for (int place = 0; place < sorted.size(); place++) {
        places.put(sorted.get(place), place);
      }
    }

    /** The names themselves. */
    public List<String> sorted() {
      return sorted;
    }

    /** The place of a name among the sorted ones; null for one that there is not. */
    public @Nullable Integer place(@Nullable Object name) {
      return places.get(name);
    }

    /** No value for any name. */
    public <V> ByName<V> none() {
      return new ByName<>(this, new @Nullable Object[sorted.size()]);
    }

    /** A value for every name, by its place among the sorted ones. */
    public <V> ByName<V> each(IntFunction<V> value) {
      Object[] values = new Object[sorted.size()];
      for (int place = 0; place < values.length; place++) {
        values[place] = Objects.requireNonNull(value.apply(place));
      }
      return new ByName<>(this, values);
    }

    /**
     * The same values, of a map that may be another kind; names that there are not are left out.
     */
    public <V> ByName<V> of(Map<String, V> map) {
      if (map instanceof ByName<V> known && known.names == this) {
        return known;
      }
      @Nullable Object[] values = new @Nullable Object[sorted.size()];
      places.forEach((name, place) -> values[place] = map.get(name));
      return new ByName<>(this, values);
    }
  }

  private final Names names;

  /** By place; null where there is none. */
  private final @Nullable Object[] values;

  private ByName(Names names, @Nullable Object[] values) {
    this.names = names;
    this.values = values;
  }

  /** The same with another value for one name; itself where it has that very value. */
  public ByName<V> with(String name, V value) {
    int place = Objects.requireNonNull(names.places.get(name), name);
    if (values[place] == value) {
      return this;
    }
    @Nullable Object[] next = values.clone();
    next[place] = value;
    return new ByName<>(names, next);
  }

  @Override
  public @Nullable V get(@Nullable Object name) {
    Integer place = names.places.get(name);
    return place == null ? null : at(place);
  }

  /** The value of the name at this place among the sorted ones; null for none. */
  @SuppressWarnings("unchecked") // nothing else is ever put there
  public @Nullable V at(int place) {
    return (V) values[place];
  }

  @Override
  public boolean containsKey(@Nullable Object name) {
    return get(name) != null;
  }

  @Override
  public @Nullable V getOrDefault(@Nullable Object name, @Nullable V otherwise) {
    V value = get(name);
    return value == null ? otherwise : value;
  }

  @Override
  public Set<Map.Entry<String, V>> entrySet() {
    Map<String, V> entries = new LinkedHashMap<>();
    for (int place = 0; place < values.length; place++) {
      V value = at(place);
      if (value != null) {
        entries.put(names.sorted.get(place), value);
      }
    }
    return Collections.unmodifiableMap(entries).entrySet();
  }
}
