using System.Runtime.InteropServices;
using Recipes.Decoders;
using Recipes.Imaging;
using SkiaSharp;

namespace Recipes.Codecs.Tests;

/// <summary>Independent decoders and encoders: SkiaSharp (libpng, libjpeg-turbo, libwebp) and NetVips (libspng, libjpeg-turbo, libwebp).</summary>
internal static class Oracle
{
    private static readonly bool Present = OperatingSystem.IsLinux() && RuntimeInformation.ProcessArchitecture == Architecture.X64;

    /// <summary>Skips where the native libraries aren't restored, unless the build machine demands them.</summary>
    public static void Require()
    {
        if (Environment.GetEnvironmentVariable("RECIPES_CI") == "1")
        {
            Present.ShouldBeTrue("the native oracles must be there");
        }

        Assert.SkipUnless(Present, "SkiaSharp's and NetVips' native libraries come for linux-x64 only");
    }

    /// <summary>Skips where a program of another package is missing, unless the build machine demands it.</summary>
    public static void RequireTool(string tool, string package)
    {
        Require();
        RequirePackage((Environment.GetEnvironmentVariable("PATH") ?? "").Split(Path.PathSeparator).Any(folder => File.Exists(Path.Combine(folder, tool))), package, tool);
    }

    /// <summary>Skips where something of a Debian package is missing, unless the build machine demands it.</summary>
    public static void RequirePackage(bool present, string package, string what)
    {
        if (Environment.GetEnvironmentVariable("RECIPES_CI") == "1")
        {
            present.ShouldBeTrue($"{package} must be there");
        }

        Assert.SkipUnless(present, $"needs {what} of Debian's {package}");
    }

    /// <summary>RGBA bytes, straight alpha, no color conversion, orientation not applied.</summary>
    public static byte[] Skia(byte[] file)
    {
        using var data = SKData.CreateCopy(file);
        using var codec = SKCodec.Create(data);
        codec.ShouldNotBeNull("SkiaSharp can't read the file");
        var info = new SKImageInfo(codec.Info.Width, codec.Info.Height, SKColorType.Rgba8888, SKAlphaType.Unpremul);
        codec.GetPixels(info, out byte[] pixels).ShouldBe(SKCodecResult.Success);
        return pixels;
    }

    /// <summary>RGBA bytes, straight alpha, no color conversion, orientation not applied.</summary>
    public static byte[] Vips(byte[] file)
    {
        using var image = NetVips.Image.NewFromBuffer(file);
        byte[] bands = image.WriteToMemory<byte>();
        int count = image.Bands;
        byte[] pixels = new byte[image.Width * image.Height * 4];
        for (int i = 0; i < image.Width * image.Height; i++)
        {
            var pixel = bands.AsSpan(i * count, count);
            for (int c = 0; c < 3; c++)
            {
                pixels[(4 * i) + c] = pixel[count < 3 ? 0 : c];
            }

            pixels[(4 * i) + 3] = count is 2 or 4 ? pixel[count - 1] : (byte)255;
        }

        return pixels;
    }

    public static DecodedArt Decode(byte[] file) => ArtDecoder.Decode(file, "art.png");

    public static byte[] Bytes(Plane<Rgba8> plane) => MemoryMarshal.AsBytes(plane.ToContiguous().AsSpan()).ToArray();

    public static Plane<Rgba8> Plane(int width, int height, Func<int, int, Rgba8> color) =>
        Imaging.Plane<Rgba8>.Build(width, height, null, (bounds, samples) =>
        {
            for (int i = 0; i < samples.Length; i++)
            {
                samples[i] = color(bounds.X + (i % bounds.Width), bounds.Y + (i / bounds.Width));
            }
        });

    /// <summary>A puffin's palette in smooth shapes: white belly, black wing, orange beak, on a sea of soft colors.</summary>
    public static Rgba8 Puffin(int x, int y)
    {
        double sky = 0.5 + (0.5 * Math.Sin(x / 17.0) * Math.Cos(y / 23.0));
        bool belly = Math.Pow((x - 60) / 22.0, 2) + Math.Pow((y - 60) / 34.0, 2) < 1, wing = x is > 20 and < 34 && y is > 40 and < 90, beak = Math.Abs(x - 60) + Math.Abs(y - 18) < 9;
        return beak ? new Rgba8(240, 130, 20) : belly ? Rgba8.White : wing ? Rgba8.Black : new Rgba8((byte)(80 + (60 * sky)), (byte)(140 + (50 * sky)), (byte)(200 + (40 * sky)));
    }

    public static byte[] Jpeg(int width, int height, Func<int, int, Rgba8> color, int quality = 90, bool halved = false)
    {
        using var pixmap = Map(width, height, color, out var handle);
        using (handle)
        {
            using var data = pixmap.Encode(new SKJpegEncoderOptions(quality, halved ? SKJpegEncoderDownsample.Downsample420 : SKJpegEncoderDownsample.Downsample444, SKJpegEncoderAlphaOption.Ignore));
            return data.ShouldNotBeNull().ToArray();
        }
    }

    public static byte[] Webp(int width, int height, Func<int, int, Rgba8> color, bool lossless)
    {
        using var pixmap = Map(width, height, color, out var handle);
        using (handle)
        {
            using var data = pixmap.Encode(new SKWebpEncoderOptions(lossless ? SKWebpEncoderCompression.Lossless : SKWebpEncoderCompression.Lossy, lossless ? 50 : 85));
            return data.ShouldNotBeNull().ToArray();
        }
    }

    private static SKPixmap Map(int width, int height, Func<int, int, Rgba8> color, out SKData data)
    {
        byte[] bytes = Bytes(Plane(width, height, color));
        data = SKData.CreateCopy(bytes);
        return new SKPixmap(new SKImageInfo(width, height, SKColorType.Rgba8888, SKAlphaType.Unpremul), data.Data);
    }

    /// <summary>Mean and largest difference over all channels, in levels.</summary>
    public static (double Mean, int Largest) Difference(byte[] a, byte[] b)
    {
        a.Length.ShouldBe(b.Length);
        long sum = 0;
        int largest = 0;
        for (int i = 0; i < a.Length; i++)
        {
            int d = Math.Abs(a[i] - b[i]);
            sum += d;
            largest = Math.Max(largest, d);
        }

        return ((double)sum / a.Length, largest);
    }

    /// <summary>Inserts a marker segment right behind a JPEG file's start marker.</summary>
    public static byte[] WithSegment(byte[] jpeg, byte marker, params byte[] data) =>
        [.. jpeg[..2], 0xFF, marker, (byte)((data.Length + 2) >> 8), (byte)(data.Length + 2), .. data, .. jpeg[2..]];

    /// <summary>An EXIF block of one directory of SHORT, LONG and RATIONAL entries (TIFF 6.0), little- or big-endian.</summary>
    public static byte[] Exif(bool little, params (int Tag, int Type, uint Value, uint Below)[] entries)
    {
        var block = new List<byte>();
        block.AddRange(little ? "II"u8.ToArray() : "MM"u8.ToArray());
        Put(2, 42);
        Put(4, 8);
        Put(2, (uint)entries.Length);
        int after = 8 + 2 + (12 * entries.Length) + 4;
        foreach (var (tag, type, value, _) in entries)
        {
            Put(2, (uint)tag);
            Put(2, (uint)type);
            Put(4, 1);
            if (type == 5)
            {
                Put(4, (uint)after);
                after += 8;
            }
            else if (type == 3)
            {
                Put(2, value);
                Put(2, 0);
            }
            else
            {
                Put(4, value);
            }
        }

        Put(4, 0);
        foreach (var (_, type, value, below) in entries)
        {
            if (type == 5)
            {
                Put(4, value);
                Put(4, below);
            }
        }

        return [.. block];

        void Put(int size, uint value)
        {
            for (int i = 0; i < size; i++)
            {
                block.Add((byte)(value >> (8 * (little ? i : size - 1 - i))));
            }
        }
    }
}
