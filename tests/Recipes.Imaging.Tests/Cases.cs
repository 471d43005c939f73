using System.Collections.Immutable;
using CsCheck;

namespace Recipes.Imaging.Tests;

/// <summary>A raster as a ground and spots painted on it in turn: small to print when a law fails, and often of one value.</summary>
sealed record Raster<T>(int Width, int Height, T Ground, Spot<T>[] Spots)
    where T : unmanaged, IEquatable<T>
{
    public T[] Samples()
    {
        var samples = new T[Width * Height];
        Array.Fill(samples, Ground);
        Paint(samples);
        return samples;
    }

    public void Paint(T[] samples)
    {
        foreach (var (box, step, value) in Spots)
        {
            for (int y = box.Y; y < Math.Min(box.Bottom, Height); y++)
            {
                for (int x = box.X; x < Math.Min(box.Right, Width); x++)
                {
                    samples[(y * Width) + x] = (x + (2 * y)) % step == 0 ? value : samples[(y * Width) + x];
                }
            }
        }
    }

    public Plane<T> ToPlane(Plane<T>? predecessor = null) => Plane<T>.FromContiguous(Width, Height, Samples(), predecessor);

    public override string ToString() => $"{Width} x {Height}, {Ground}, {string.Join("; ", Spots)}";
}

/// <summary>A box in which every step-th pixel gets a value.</summary>
readonly record struct Spot<T>(Box Box, int Step, T Value);

/// <summary>Generated art of few colors, in sizes around whole tiles.</summary>
static class Cases
{
    /// <summary>Every ink state, the levels next to it, soft alpha, and color under alpha 0.</summary>
    public static readonly Rgba8[] Palette =
    [
        Rgba8.White, Rgba8.Black, Rgba8.ClearWhite, new(0, 0, 0, 0), new(240, 120, 20, 0), new(254, 254, 254), new(255, 255, 254),
        new(1, 1, 1), new(0, 1, 0), new(255, 255, 255, 1), new(0, 0, 0, 1), new(240, 120, 20), new(240, 120, 20, 128), new(40, 60, 90),
    ];

    public static readonly Gen<Rgba8> Bytes = Gen.Select(Gen.Byte, Gen.Byte, Gen.Byte, Gen.Byte, (r, g, b, a) => new Rgba8(r, g, b, a));

    public static readonly Gen<Rgba8> Colors = Gen.Frequency((5, Pictures.OneOf(Palette)), (1, Bytes));

    public static readonly Gen<byte> Coverage = Gen.Frequency((3, Gen.Const((byte)0)), (3, Gen.Const((byte)255)), (2, Gen.Byte));

    public static readonly Gen<(int Width, int Height)> Sizes = Gen.Select(Sides(), Sides());

    public static readonly Gen<InkRules> Rules = Gen.Select(Gen.Bool, Gen.Bool, Gen.Bool,
        (white, black, transparent) => new InkRules { WhiteBare = white, BlackBare = black, TransparentBare = transparent });

    private static readonly Gen<double> Opacities = Gen.Frequency((5, Gen.Const(1.0)), (1, Gen.Const(0.0)), (2, Gen.Double[0, 1]));

    public static Gen<Raster<T>> Rasters<T>(int width, int height, Gen<T> values)
        where T : unmanaged, IEquatable<T> =>
        Gen.Select(values, Spots(width, height, values).Array[0, 5], (ground, spots) => new Raster<T>(width, height, ground, spots));

    public static Gen<Plane<Rgba8>> Pixels(int width, int height) => Rasters(width, height, Colors).Select(raster => raster.ToPlane());

    public static Gen<Layer> Layers(int width, int height) => Gen.Select(
        Pixels(width, height), Rasters(width, height, Coverage), Gen.Bool, Gen.Enum<BlendMode>(), Gen.Enum<LayerIntent>(), Opacities, Gen.Int[0, 4],
        (pixels, coverage, over, blend, intent, opacity, shown) =>
            (over ? Layer.Over("layer", pixels, blend) : Layer.Replace("layer", intent, pixels, coverage.ToPlane()))
                .WithOpacity(opacity).WithVisible(shown > 0));

    public static Gen<Artwork> Artworks(int width, int height) => Gen.Select(
        Layers(width, height).Array[1, 4], Pictures.OneOf<double?>(null, 72, 300),
        (layers, ppi) => new Artwork(width, height, ppi, [.. layers.Select((layer, i) => layer.WithName($"layer {i}"))]));

    public static Gen<Artwork> Artworks() => Sizes.SelectMany(size => Artworks(size.Width, size.Height));

    /// <summary>Compares whole pictures and names the first pixel that differs; a general comparison takes seconds for each.</summary>
    public static void ShouldHold<T>(this T[] actual, T[] expected)
        where T : unmanaged, IEquatable<T>
    {
        int same = actual.AsSpan().CommonPrefixLength(expected);
        if (same < Math.Max(actual.Length, expected.Length))
        {
            actual.Length.ShouldBe(expected.Length);
            actual[same].ShouldBe(expected[same], $"sample {same}");
        }
    }

    /// <summary>An artwork and one made of it: layers dropped, moved, edited in some tiles, added, or all of it at another size.</summary>
    public static Gen<(Artwork Before, Artwork After)> Edits => Sizes.SelectMany(size => Gen.Select(
        Artworks(size.Width, size.Height), Artworks(size.Width, size.Height), Rasters(size.Width, size.Height, Colors), Sizes, Gen.Int[0, 5],
        (before, other, paint, otherSize, kind) => (before, Edited(before, other, paint, otherSize, kind))));

    private static Artwork Edited(Artwork before, Artwork other, Raster<Rgba8> paint, (int Width, int Height) size, int kind) => kind switch
    {
        0 => before.WithLayer(other.Layers[0]),
        1 => before.WithLayers(before.Layers.RemoveAt(0)),
        2 => before.WithLayers([.. before.Layers.Reverse()]),
        3 => before.WithLayers([Painted(before.Layers[0], paint), .. before.Layers[1..]]),
        4 => before.WithLayers([before.Layers[0].WithOpacity(0.5).WithVisible(!before.Layers[0].Visible), .. before.Layers[1..], other.Layers[0].WithName("new")]),
        _ => Artwork.FromPixels(Plane<Rgba8>.OneValue(size.Width, size.Height, paint.Ground), 150),
    };

    private static Layer Painted(Layer layer, Raster<Rgba8> paint)
    {
        var samples = layer.Pixels.ToContiguous();
        paint.Paint(samples);
        var pixels = Plane<Rgba8>.FromContiguous(layer.Pixels.Width, layer.Pixels.Height, samples, layer.Pixels);
        return (layer.Coverage is null ? Layer.Over(layer.Name, pixels, layer.Blend) : Layer.Replace(layer.Name, layer.Intent, pixels, layer.Coverage))
            .WithOpacity(layer.Opacity).WithVisible(layer.Visible);
    }

    private static Gen<int> Sides() => Gen.OneOf(Gen.Int[1, 300], Pictures.OneOf(1, 2, 127, 128, 129, 255, 256, 257));

    private static Gen<Spot<T>> Spots<T>(int width, int height, Gen<T> values) => Gen.Select(
        Gen.Int[0, width - 1], Gen.Int[0, height - 1], Lengths(), Lengths(), Gen.Int[1, 3], values,
        (x, y, w, h, step, value) => new Spot<T>(new Box(x, y, w, h), step, value));

    private static Gen<int> Lengths() => Gen.OneOf(Gen.Int[1, 3], Gen.Int[1, 300]);
}
