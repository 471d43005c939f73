namespace Recipes.Imaging;

/// <summary>Closes small holes with the color around them.</summary>
public static class HoleFill
{
    // How far around a hole its color is looked for, px.
    private const int Ring = 3;

    // How far a mix may lie from its line, levels: rounding.
    private const double Rounding = 2;

    /// <summary>
    /// Gives each 4-connected part of a region the color around it: the one that at least half of what prints within 3 px
    /// has, and then the mixes at the hole's edge too; else, in shading, each pixel that of the nearest pixel that prints.
    /// </summary>
    /// <param name="art">Flattened art of the region's size.</param>
    /// <param name="holes">The holes; a part with nothing printed within 3 px stays.</param>
    /// <param name="rules">What stays bare.</param>
    public static Plane<Rgba8> Fill(Plane<Rgba8> art, Region holes, InkRules rules)
    {
        var changes = Changes(art, holes, rules);
        if (changes.Count == 0)
        {
            return art;
        }

        return Plane<Rgba8>.Build(art.Width, art.Height, art, (bounds, samples) =>
        {
            int tile = art.Grid.IndexAt(bounds.X, bounds.Y);
            art.Tiles[tile].CopyTo(samples);
            foreach (var ((x, y), color) in changes[tile])
            {
                samples[((y - bounds.Y) * bounds.Width) + x - bounds.X] = color;
            }
        });
    }

    /// <summary>The pixels to which <see cref="Fill"/> gives another color: the holes and the mixes at their edges.</summary>
    /// <inheritdoc cref="Fill"/>
    public static Region Filled(Plane<Rgba8> art, Region holes, InkRules rules)
    {
        var changes = Changes(art, holes, rules);
        var none = Plane<byte>.OneValue(art.Width, art.Height, 0);
        return new Region(Plane<byte>.Build(art.Width, art.Height, none, (bounds, samples) =>
        {
            int tile = art.Grid.IndexAt(bounds.X, bounds.Y);
            samples.Clear();
            foreach (var ((x, y), color) in changes[tile])
            {
                samples[((y - bounds.Y) * bounds.Width) + x - bounds.X] = color == art.Tiles[tile][x - bounds.X, y - bounds.Y] ? (byte)0 : (byte)255;
            }
        }, tile => changes.Contains(tile) ? null : none.Tiles[tile]), art);
    }

    // By tile.
    private static ILookup<int, KeyValuePair<(int X, int Y), Rgba8>> Changes(Plane<Rgba8> art, Region holes, InkRules rules)
    {
        ArgumentNullException.ThrowIfNull(art);
        ArgumentNullException.ThrowIfNull(holes);
        ArgumentNullException.ThrowIfNull(rules);
        var changes = new Dictionary<(int X, int Y), Rgba8>();
        foreach (var hole in holes.Islands())
        {
            FillOne(art, holes, hole, rules, changes);
        }

        return changes.ToLookup(change => art.Grid.IndexAt(change.Key.X, change.Key.Y));
    }

    private static void FillOne(Plane<Rgba8> art, Region holes, Island hole, InkRules rules, Dictionary<(int X, int Y), Rgba8> changes)
    {
        var around = hole.Bounds.Grow(Ring).Within(new Box(0, 0, art.Width, art.Height));
        var inside = new List<(int X, int Y)>();
        var printed = new List<(int X, int Y)>();
        for (int y = around.Y; y < around.Bottom; y++)
        {
            for (int x = around.X; x < around.Right; x++)
            {
                if (hole.Bounds.Contains(x, y) && holes.Contains(x, y))
                {
                    inside.Add((x, y));
                }
                else if (rules.StateOf(art[x, y]) == InkState.Prints)
                {
                    printed.Add((x, y));
                }
            }
        }

        if (printed.Count == 0)
        {
            return;
        }

        var main = printed.GroupBy(at => art[at.X, at.Y]).OrderByDescending(group => group.Count()).First();
        bool flat = main.Count() * 2 >= printed.Count;
        foreach (var (x, y) in inside)
        {
            changes[(x, y)] = flat ? main.Key : printed.Select(at => (Distance: Squared(at, x, y), art[at.X, at.Y])).MinBy(near => near.Distance).Item2;
        }

        if (!flat)
        {
            return;
        }

        // The mixes that the hole runs out in, from it outwards: each touches one that took the color before.
        Premultiplied ground = Premultiplied.Of(art[hole.FirstX, hole.FirstY]), color = Premultiplied.Of(main.Key);
        var mixes = printed.Where(at => Premultiplied.Of(art[at.X, at.Y]).Between(color, ground) is { Share: > 0 and < 1 } fit && fit.Off <= Rounding)
            .ToHashSet();
        var edge = new Queue<(int X, int Y)>(inside);
        while (edge.TryDequeue(out var from))
        {
            for (int k = 0; k < 9; k++)
            {
                var at = (X: from.X - 1 + (k % 3), Y: from.Y - 1 + (k / 3));
                if (mixes.Remove(at))
                {
                    changes[at] = main.Key;
                    edge.Enqueue(at);
                }
            }
        }
    }

    private static int Squared((int X, int Y) at, int x, int y) => ((at.X - x) * (at.X - x)) + ((at.Y - y) * (at.Y - y));
}
