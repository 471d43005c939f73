using System.Collections.Immutable;

namespace Recipes.Imaging;

public sealed partial class Artwork
{
    private readonly Lock flattening = new();
    private Artwork? predecessor;
    private Plane<Rgba8>? flat;

    /// <summary>
    /// What the machine gets: all visible layers put together. A tile to which the same layers contribute as in the
    /// predecessor is the predecessor's tile, so two states are compared by walking the tiles that differ. A single
    /// visible <c>over</c> layer at opacity 1 comes back byte for byte, color under alpha 0 included.
    /// </summary>
    public Plane<Rgba8> Flat
    {
        get
        {
            lock (flattening)
            {
                if (flat is null)
                {
                    flat = Flatten();
                    predecessor = null;
                }

                return flat;
            }
        }
    }

    private Plane<Rgba8> Flatten()
    {
        var before = predecessor;
        var known = before?.Flat;
        var tiles = new Tile<Rgba8>[Grid.Count];
        Parallel.For(
            0,
            Grid.Count,
            () => new Scratch(),
            (i, _, scratch) =>
            {
                Contributions(Layers, i, scratch.Mine);
                if (before is not null)
                {
                    Contributions(before.Layers, i, scratch.Theirs);
                    if (scratch.Mine.SequenceEqual(scratch.Theirs))
                    {
                        tiles[i] = known!.Tiles[i];
                        return scratch;
                    }
                }

                var tile = Compose(Grid.Bounds(i), scratch);
                tiles[i] = known is not null && known.Tiles[i].SameSamples(tile) ? known.Tiles[i] : tile;
                return scratch;
            },
            _ => { });
        var array = ImmutableArray.Create(tiles);
        return known is null ? new Plane<Rgba8>(Width, Height, array) : known.WithTiles(array);
    }

    // What one thread needs, whatever the number of tiles.
    private sealed class Scratch
    {
        public List<Contribution> Mine { get; } = [];

        public List<Contribution> Theirs { get; } = [];

        public Rgba8[] Canvas { get; } = new Rgba8[TileGrid.Side * TileGrid.Side];

        public Rgba8[] Source { get; } = new Rgba8[TileGrid.Side * TileGrid.Side];

        public byte[] Cover { get; } = new byte[TileGrid.Side * TileGrid.Side];
    }

    // What of a layer reaches one tile. Two tiles with equal lists look the same.
    private sealed record Contribution(
        Tile<Rgba8> Pixels, Tile<byte>? Coverage, LayerMode Mode, BlendMode Blend, double Opacity, bool Bottom)
    {
        public bool IsOneValue => Pixels.IsOneValue && Coverage is null or { IsOneValue: true };

        public bool HidesAllBelow => Mode == LayerMode.Replace && Opacity >= 1 && Coverage!.IsAll(255);

        // An over layer keeps color under alpha 0 as the bottom of the whole art. As the first in this tile alone it must
        // not, or the cut into tiles would show in that color.
        public bool StandsAlone => HidesAllBelow || (Bottom && Mode == LayerMode.Over && Opacity >= 1);
    }

    private static void Contributions(ImmutableArray<Layer> layers, int index, List<Contribution> target)
    {
        target.Clear();
        bool bottom = true;
        foreach (var layer in layers)
        {
            if (layer.Mode == LayerMode.Separation || !layer.Visible || layer.Opacity <= 0)
            {
                continue;
            }

            bool isBottom = bottom;
            bottom = false;
            var coverage = layer.Coverage?.Tiles[index];
            if (coverage is { IsOneValue: true, Value: 0 })
            {
                continue;
            }

            var item = new Contribution(layer.Pixels.Tiles[index], coverage, layer.Mode, layer.Blend, layer.Opacity, isBottom);
            if (item.HidesAllBelow)
            {
                target.Clear();
            }

            target.Add(item);
        }
    }

    private static Tile<Rgba8> Compose(Box bounds, Scratch scratch)
    {
        var contributions = scratch.Mine;
        if (contributions.Count == 0)
        {
            return Tile<Rgba8>.OneValue(bounds.Width, bounds.Height, default);
        }

        if (contributions is [{ StandsAlone: true } only])
        {
            return only.Pixels;
        }

        // Where every layer has one value, one pixel tells what all of them become.
        bool one = contributions.TrueForAll(contribution => contribution.IsOneValue);
        var canvas = scratch.Canvas.AsSpan(0, one ? 1 : bounds.Width * bounds.Height);
        var source = scratch.Source.AsSpan(0, canvas.Length);
        var cover = scratch.Cover.AsSpan(0, canvas.Length);
        var first = contributions[0];
        int start = 0;
        if (first.StandsAlone)
        {
            Copy(first.Pixels, canvas);
            start = 1;
        }
        else
        {
            canvas.Clear();
        }

        for (int i = start; i < contributions.Count; i++)
        {
            var (pixels, coverage, mode, blend, opacity, _) = contributions[i];
            Copy(pixels, source);
            if (mode == LayerMode.Over)
            {
                for (int p = 0; p < canvas.Length; p++)
                {
                    canvas[p] = Imaging.Blend.Over(canvas[p], source[p], blend, opacity);
                }
            }
            else
            {
                Copy(coverage!, cover);
                Replace(canvas, source, cover, opacity);
            }
        }

        return !one ? Tile<Rgba8>.Freeze(bounds.Width, bounds.Height, canvas, first.Pixels)
            : first.Pixels.IsAll(canvas[0]) ? first.Pixels : Tile<Rgba8>.OneValue(bounds.Width, bounds.Height, canvas[0]);
    }

    private static void Replace(Span<Rgba8> canvas, Span<Rgba8> source, Span<byte> cover, double opacity)
    {
        // Most coverage is none or all over long stretches, where nothing is to be mixed.
        for (int p = 0, skipped; (skipped = cover[p..].IndexOfAnyExcept((byte)0)) >= 0;)
        {
            p += skipped;
            int end = p + 1;
            if (cover[p] == 255 && opacity >= 1)
            {
                int length = cover[p..].IndexOfAnyExcept((byte)255);
                end = length < 0 ? cover.Length : p + length;
                source[p..end].CopyTo(canvas[p..]);
            }
            else
            {
                canvas[p] = Imaging.Blend.Replace(canvas[p], source[p], cover[p] / 255.0 * opacity);
            }

            p = end;
        }
    }

    private static void Copy<T>(Tile<T> from, Span<T> to)
        where T : unmanaged, IEquatable<T>
    {
        if (from.IsOneValue)
        {
            to.Fill(from.Value);
        }
        else
        {
            from.CopyTo(to);
        }
    }
}
