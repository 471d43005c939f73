using System.Collections.Immutable;

namespace Recipes.Imaging;

/// <summary>One tile of a patch: a tile that the input already has, named by layer and index, or a new one.</summary>
/// <remarks>A class, since images of machine code hold no lists of a struct: docs/decisions/0010-ready-to-run.md.</remarks>
/// <param name="Layer">Index of the input layer, or -1 where the tile is new.</param>
/// <param name="Index">Index of the kept tile in that layer.</param>
/// <param name="New">The new tile, or null where it is kept.</param>
public sealed record TilePatch<T>(int Layer, int Index, Tile<T>? New)
    where T : unmanaged, IEquatable<T>;

/// <summary>One layer of a patch.</summary>
public sealed record LayerPatch(
    string Name,
    double Opacity,
    bool Visible,
    LayerMode Mode,
    BlendMode Blend,
    LayerIntent Intent,
    ImmutableArray<TilePatch<Rgba8>> Pixels,
    ImmutableArray<TilePatch<byte>> Coverage);

/// <summary>
/// What turns one artwork into another: the size, the whole layer list, the bytes of new tiles, and names for tiles that
/// the input already has. It is what a worker sends back and what a step of the work file keeps.
/// </summary>
public sealed record ArtworkPatch(int Width, int Height, double? PixelsPerInch, ImmutableArray<LayerPatch> Layers)
{
    /// <summary>The patch from <paramref name="before"/> (null: from nothing) to <paramref name="after"/>.</summary>
    public static ArtworkPatch Between(Artwork? before, Artwork after)
    {
        ArgumentNullException.ThrowIfNull(after);
        var pixels = new Dictionary<Tile<Rgba8>, Place<Rgba8>>(ReferenceEqualityComparer.Instance);
        var coverage = new Dictionary<Tile<byte>, Place<byte>>(ReferenceEqualityComparer.Instance);
        for (int layer = 0; layer < (before?.Layers.Length ?? 0); layer++)
        {
            Index(before!.Layers[layer].Pixels, layer, pixels);
            Index(before.Layers[layer].Coverage, layer, coverage);
        }

        return new ArtworkPatch(after.Width, after.Height, after.PixelsPerInch,
            [.. after.Layers.Select(layer => new LayerPatch(
                layer.Name, layer.Opacity, layer.Visible, layer.Mode, layer.Blend, layer.Intent,
                Patch(layer.Pixels, pixels),
                Patch(layer.Coverage, coverage)))]);
    }

    /// <summary>Applies the patch to the artwork it was made from (null: to nothing).</summary>
    /// <exception cref="ArgumentException">The patch names tiles that the artwork doesn't have, or tiles that don't fit.</exception>
    public Artwork ApplyTo(Artwork? before)
    {
        var layers = ImmutableArray.CreateBuilder<Layer>(Layers.Length);
        for (int i = 0; i < Layers.Length; i++)
        {
            var patch = Layers[i];
            var pixels = Build(patch.Pixels, layer => before?.Layers[layer].Pixels);
            var coverage = patch.Mode == LayerMode.Over ? null : Build(patch.Coverage, n => before?.Layers[n].Coverage);
            var layer = patch.Mode switch
            {
                LayerMode.Replace => Layer.Replace(patch.Name, patch.Intent, pixels, coverage!),
                LayerMode.Separation => Layer.Separation(patch.Name, patch.Intent, coverage!, pixels),
                _ => Layer.Over(patch.Name, pixels, patch.Blend),
            };
            layer = layer.WithOpacity(patch.Opacity).WithVisible(patch.Visible);
            layers.Add(Same(before, layer) ?? layer);
        }

        var list = layers.MoveToImmutable();
        return before is not null && before.Width == Width && before.Height == Height && before.PixelsPerInch.Equals(PixelsPerInch)
            ? before.WithLayers(list)
            : new Artwork(Width, Height, PixelsPerInch, list);
    }

    private static void Index<T>(Plane<T>? plane, int layer, Dictionary<Tile<T>, Place<T>> known)
        where T : unmanaged, IEquatable<T>
    {
        for (int i = 0; i < (plane?.Tiles.Length ?? 0); i++)
        {
            known.TryAdd(plane!.Tiles[i], new Place<T>(layer, i, plane));
        }
    }

    private static ImmutableArray<TilePatch<T>> Patch<T>(Plane<T>? plane, Dictionary<Tile<T>, Place<T>> known)
        where T : unmanaged, IEquatable<T> =>
        plane is null
            ? []
            : [.. plane.Tiles.Select((tile, i) => known.TryGetValue(tile, out var place)
                ? new TilePatch<T>(place.Layer, place.IndexNear(i, tile), null)
                : new TilePatch<T>(-1, -1, tile))];

    // Where a tile lies first.
    private sealed record Place<T>(int Layer, int Index, Plane<T> Plane)
        where T : unmanaged, IEquatable<T>
    {
        // Alike tiles may be one object here and several where the patch goes, so the one that lies in the same place is meant wherever there is one.
        public int IndexNear(int index, Tile<T> tile) => index < Plane.Tiles.Length && ReferenceEquals(Plane.Tiles[index], tile) ? index : Index;
    }

    private Plane<T> Build<T>(ImmutableArray<TilePatch<T>> tiles, Func<int, Plane<T>?> input)
        where T : unmanaged, IEquatable<T>
    {
        try
        {
            return new Plane<T>(Width, Height, [.. tiles.Select(tile => tile.New
                ?? input(tile.Layer)?.Tiles[tile.Index]
                ?? throw new ArgumentException("The patch keeps a tile of a layer that isn't there."))]);
        }
        catch (Exception e) when (e is IndexOutOfRangeException or ArgumentOutOfRangeException)
        {
            throw new ArgumentException("The patch keeps a tile that isn't there.", e);
        }
    }

    // An unchanged layer is the input's own object, so that unchanged artwork is the same object too.
    private static Layer? Same(Artwork? before, Layer layer) => before?.Layers.FirstOrDefault(other =>
        other.Name == layer.Name && other.Opacity.Equals(layer.Opacity) && other.Visible == layer.Visible
        && other.Mode == layer.Mode && other.Blend == layer.Blend && other.Intent == layer.Intent
        && other.Pixels.Grid == layer.Pixels.Grid
        && ReferenceEquals(other.Pixels.WithTiles(layer.Pixels.Tiles), other.Pixels)
        && (layer.Coverage is null || ReferenceEquals(other.Coverage!.WithTiles(layer.Coverage.Tiles), other.Coverage)));
}
