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
            () => (Mine: new List<Contribution>(), Theirs: new List<Contribution>()),
            (i, _, lists) =>
            {
                Contributions(Layers, i, lists.Mine);
                if (before is not null)
                {
                    Contributions(before.Layers, i, lists.Theirs);
                    if (lists.Mine.SequenceEqual(lists.Theirs))
                    {
                        tiles[i] = known!.Tiles[i];
                        return lists;
                    }
                }

                var tile = Compose(Grid.Bounds(i), lists.Mine);
                tiles[i] = known is not null && known.Tiles[i].SameSamples(tile) ? known.Tiles[i] : tile;
                return lists;
            },
            _ => { });
        var array = ImmutableArray.Create(tiles);
        return known is null ? new Plane<Rgba8>(Width, Height, array) : known.WithTiles(array);
    }

    // What of a layer reaches one tile. Two tiles with equal lists look the same.
    private readonly record struct Contribution(
        Tile<Rgba8> Pixels, Tile<byte>? Coverage, LayerMode Mode, BlendMode Blend, double Opacity, bool Bottom)
    {
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

    private static Tile<Rgba8> Compose(Box bounds, List<Contribution> contributions)
    {
        if (contributions.Count == 0)
        {
            return Tile<Rgba8>.OneValue(bounds.Width, bounds.Height, default);
        }

        if (contributions is [{ StandsAlone: true } only])
        {
            return only.Pixels;
        }

        var canvas = new Rgba8[bounds.Width * bounds.Height];
        var first = contributions[0];
        int start = 0;
        if (first.StandsAlone)
        {
            first.Pixels.CopyTo(canvas);
            start = 1;
        }

        var source = new Rgba8[canvas.Length];
        var cover = new byte[canvas.Length];
        for (int i = start; i < contributions.Count; i++)
        {
            var (pixels, coverage, mode, blend, opacity, _) = contributions[i];
            pixels.CopyTo(source);
            if (mode == LayerMode.Over)
            {
                for (int p = 0; p < canvas.Length; p++)
                {
                    canvas[p] = Imaging.Blend.Over(canvas[p], source[p], blend, opacity);
                }
            }
            else
            {
                coverage!.CopyTo(cover);
                for (int p = 0; p < canvas.Length; p++)
                {
                    canvas[p] = Imaging.Blend.Replace(canvas[p], source[p], cover[p] / 255.0 * opacity);
                }
            }
        }

        return Tile<Rgba8>.Freeze(bounds.Width, bounds.Height, canvas, first.Pixels);
    }
}
