package io.github.tidewarden.control;

import io.github.tidewarden.sensing.ByName;
import java.util.AbstractMap;
import java.util.Collections;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.Set;
import org.jspecify.annotations.Nullable;

/**
 * The states of all tanks of a site, by name, immutable: a tree with the tanks as its leaves, in
 * which each branch knows when the first of its tanks wants to be asked again. What one event
 * changes is the way to one tank, so an event is nearly the same work with a thousand tanks as with
 * one.
 */
final class Tanks extends AbstractMap<String, TankState> {

  private sealed interface Node {
    /** When the first of its tanks wants to be asked again, monotonic. */
    long wakeNanos();
  }

  private record Leaf(TankState state) implements Node {
    @Override
    public long wakeNanos() {
      return state.wakeNanos();
    }
  }

  private record Branch(Node left, Node right, long wakeNanos) implements Node {
    static Branch of(Node left, Node right) {
      boolean leftFirst = left.wakeNanos() - right.wakeNanos() < 0;
      return new Branch(left, right, leftFirst ? left.wakeNanos() : right.wakeNanos());
    }
  }

  private final ByName.Names names;
  private final Node root;

  private Tanks(ByName.Names names, Node root) {
    this.names = names;
    this.root = root;
  }

  /**
   * The same states, of a map that may be another kind.
   *
   * @param names of the tanks that there are, one or more; the map has a state of each
   */
  static Tanks of(ByName.Names names, Map<String, TankState> states) {
    if (states instanceof Tanks known && known.names == names) {
      return known;
    }
    return new Tanks(names, node(names.sorted(), states));
  }

  private static Node node(List<String> names, Map<String, TankState> states) {
    int half = names.size() / 2;
    return half == 0
        ? new Leaf(Objects.requireNonNull(states.get(names.get(0))))
        : Branch.of(
            node(names.subList(0, half), states), node(names.subList(half, names.size()), states));
  }

  /** The same with another state of one tank. */
  Tanks with(String name, TankState state) {
    int place = Objects.requireNonNull(names.place(name));
    return new Tanks(names, with(root, place, names.sorted().size(), state));
  }

  private static Node with(Node node, int place, int size, TankState state) {
    if (!(node instanceof Branch branch)) {
      return new Leaf(state);
    }
    int half = size / 2;
    return place < half
        ? Branch.of(with(branch.left, place, half, state), branch.right)
        : Branch.of(branch.left, with(branch.right, place - half, size - half, state));
  }

  /** When the first tank wants to be asked again at the latest, monotonic. */
  long wakeNanos() {
    return root.wakeNanos();
  }

  @Override
  public @Nullable TankState get(@Nullable Object name) {
    Integer known = names.place(name);
    if (known == null) {
      return null;
    }
    int place = known;
    int size = names.sorted().size();
    Node node = root;
    while (node instanceof Branch branch) {
      int half = size / 2;
      boolean left = place < half;
      node = left ? branch.left : branch.right;
      place = left ? place : place - half;
      size = left ? half : size - half;
    }
    return ((Leaf) node).state();
  }

  @Override
  public boolean containsKey(@Nullable Object name) {
    return names.place(name) != null;
  }

  @Override
  public Set<Map.Entry<String, TankState>> entrySet() {
    Map<String, TankState> entries = new LinkedHashMap<>();
    for (String name : names.sorted()) {
      entries.put(name, Objects.requireNonNull(get(name)));
    }
    return Collections.unmodifiableMap(entries).entrySet();
  }
}
