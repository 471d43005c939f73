using CsCheck;
using OpenCvSharp;

namespace Recipes.Imaging.Tests;

/// <summary>Small art and masks for tests, drawn or generated.</summary>
static class Pictures
{
    public static readonly Rgba8 Clear = new(0, 0, 0, 0);

    /// <summary>Hard masks from thin to dense, up to a little more than a tile wide, so that tile seams are crossed.</summary>
    public static readonly Gen<Region> HardRegions = Masks(Gen.Int[1, 5].SelectMany(density => Gen.Int[0, 5].Select(v => v < density ? (byte)255 : (byte)0)));

    /// <summary>Masks of any coverage.</summary>
    public static readonly Gen<Region> SoftRegions = Masks(Gen.OneOf(Gen.Const((byte)0), Gen.Const((byte)255), Gen.Byte));

    public static Gen<Region> Masks(Gen<byte> coverage) => Gen.Select(Gen.Int[1, 150], Gen.Int[1, 40], Gen.Bool).SelectMany((w, h, turn) =>
        coverage.Array[w * h].Select(samples => turn ? Of(h, w, samples) : Of(w, h, samples)));

    public static Gen<T> OneOf<T>(params T[] values) => Gen.Int[0, values.Length - 1].Select(i => values[i]);

    public static Gen<(Region A, Region B)> Pairs(Gen<byte> coverage) => Gen.Select(Gen.Int[1, 150], Gen.Int[1, 40]).SelectMany((w, h) =>
        Gen.Select(coverage.Array[w * h], coverage.Array[w * h], (a, b) => (Of(w, h, a), Of(w, h, b))));

    public static Region Of(int width, int height, byte[] coverage) =>
        new(Plane<byte>.FromContiguous(width, height, coverage), Plane<Rgba8>.OneValue(width, height, Rgba8.White));

    /// <summary>A region drawn with # for in.</summary>
    public static Region Of(params string[] rows) =>
        Of(rows[0].Length, rows.Length, [.. rows.SelectMany(row => row.Select(c => c == '#' ? (byte)255 : (byte)0))]);

    public static Plane<Rgba8> Art(int width, int height, Func<int, int, Rgba8> pixel)
    {
        var pixels = new Rgba8[width * height];
        for (int i = 0; i < pixels.Length; i++)
        {
            pixels[i] = pixel(i % width, i / width);
        }

        return Plane<Rgba8>.FromContiguous(width, height, pixels);
    }

    public static Region All(Plane<Rgba8> art) => new(Plane<byte>.OneValue(art.Width, art.Height, 255), art);

    public static string[] Rows(Region region) =>
        [.. Enumerable.Range(0, region.Coverage.Height).Select(y =>
            string.Concat(Enumerable.Range(0, region.Coverage.Width).Select(x => region.Contains(x, y) ? '#' : '.')))];

    public static bool Same(Region a, Region b) => a.Coverage.SameSamples(b.Coverage);

    /// <summary>The region as an OpenCV mask of 0 and 255.</summary>
    public static Mat ToMat(Region region)
    {
        var bytes = region.Coverage.ToContiguous();
        using var view = Mat.FromPixelData(region.Coverage.Height, region.Coverage.Width, MatType.CV_8UC1, bytes);
        return view.Clone();
    }

    /// <summary>The art as OpenCV's JPEG encoder and decoder leave it; chroma at half resolution, as is usual.</summary>
    public static Plane<Rgba8> ThroughJpeg(Plane<Rgba8> art, int quality)
    {
        var bytes = art.ToContiguous().SelectMany(p => new[] { p.B, p.G, p.R }).ToArray();
        using var bgr = Mat.FromPixelData(art.Height, art.Width, MatType.CV_8UC3, bytes);
        Cv2.ImEncode(".jpg", bgr, out var file, new ImageEncodingParam(ImwriteFlags.JpegQuality, quality));
        using var back = Cv2.ImDecode(file, ImreadModes.Color);
        back.GetArray(out Vec3b[] pixels);
        return Art(art.Width, art.Height, (x, y) =>
        {
            var p = pixels[(y * art.Width) + x];
            return new Rgba8(p.Item2, p.Item1, p.Item0);
        });
    }
}
