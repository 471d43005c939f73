using System.Runtime.InteropServices;
using Recipes.Codecs;
using Recipes.Imaging;
using SkiaSharp;

namespace Recipes.Cli.Tests;

/// <summary>Pictures of the tests, written by the project's writer and read back by SkiaSharp, which knows nothing of it.</summary>
public static class Picture
{
    /// <summary>Writes a PNG of a rule; 300 ppi unless said otherwise.</summary>
    public static string Write(string path, int width, int height, Func<int, int, Rgba8> color, double? ppi = 300)
    {
        var pixels = new Rgba8[width * height];
        for (int i = 0; i < pixels.Length; i++)
        {
            pixels[i] = color(i % width, i / width);
        }

        using var stream = File.Create(path);
        PngWriter.Write(stream, Plane<Rgba8>.FromContiguous(width, height, pixels), ppi);
        return path;
    }

    /// <summary>A small art: white around, a dark ring of 10,20,60, pure white inside it.</summary>
    public static string WriteRing(string path, int side = 40) => Write(path, side, side, (x, y) =>
    {
        int edge = Math.Min(Math.Min(x, y), Math.Min(side - 1 - x, side - 1 - y));
        return edge is >= 8 and < 12 ? new Rgba8(10, 20, 60) : Rgba8.White;
    });

    /// <summary>Reads a picture with SkiaSharp, alpha straight.</summary>
    public static (int Width, int Height, Rgba8[] Pixels) Read(string path)
    {
        using var codec = SKCodec.Create(path) ?? throw new InvalidOperationException($"SkiaSharp can't read {path}.");
        var info = new SKImageInfo(codec.Info.Width, codec.Info.Height, SKColorType.Rgba8888, SKAlphaType.Unpremul);
        var pixels = new Rgba8[info.Width * info.Height];
        var handle = GCHandle.Alloc(pixels, GCHandleType.Pinned);
        try
        {
            codec.GetPixels(info, handle.AddrOfPinnedObject()).ShouldBe(SKCodecResult.Success);
        }
        finally
        {
            handle.Free();
        }

        return (info.Width, info.Height, pixels);
    }
}
