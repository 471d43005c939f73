using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace Recipes.Imaging;

/// <summary>Whether all four channels of a pixel lie between the levels of two others, bounds included. Asked of sixteen pixels at once.</summary>
internal readonly record struct LevelTest(Rgba8 Least, Rgba8 Most) : IPixelTest
{
    /// <summary>255,255,255 at any alpha above 0.</summary>
    public static LevelTest PureWhite { get; } = new(new Rgba8(255, 255, 255, 1), Rgba8.White);

    /// <summary>0,0,0 at any alpha above 0.</summary>
    public static LevelTest PureBlack { get; } = new(new Rgba8(0, 0, 0, 1), Rgba8.Black);

    /// <summary>Alpha 0, whatever the color.</summary>
    public static LevelTest Transparent { get; } = new(default, new Rgba8(255, 255, 255, 0));

    /// <summary>Three channels of at least this level, at any alpha.</summary>
    public static LevelTest AtLeast(byte level) => new(new Rgba8(level, level, level, 0), Rgba8.White);

    /// <summary>Three channels within so many levels of a color's, at any alpha.</summary>
    public static LevelTest Around(Rgba8 color, int levels)
    {
        return new(new Rgba8(Level(color.R - levels), Level(color.G - levels), Level(color.B - levels), 0),
            new Rgba8(Level(color.R + levels), Level(color.G + levels), Level(color.B + levels), 255));

        static byte Level(int level) => (byte)Math.Clamp(level, 0, 255);
    }

    /// <inheritdoc/>
    public bool Holds(Rgba8 pixel) =>
        pixel.R >= Least.R && pixel.G >= Least.G && pixel.B >= Least.B && pixel.A >= Least.A
        && pixel.R <= Most.R && pixel.G <= Most.G && pixel.B <= Most.B && pixel.A <= Most.A;

    /// <summary>Writes 255 where the test holds, and 0 elsewhere.</summary>
    public void Mask(ReadOnlySpan<Rgba8> pixels, Span<byte> mask) => Mask(pixels, mask, isClearing: false);

    /// <summary>Writes 0 where the test holds, and nothing elsewhere.</summary>
    public void Clear(ReadOnlySpan<Rgba8> pixels, Span<byte> mask) => Mask(pixels, mask, isClearing: true);

    private void Mask(ReadOnlySpan<Rgba8> pixels, Span<byte> mask, bool isClearing)
    {
        var words = MemoryMarshal.Cast<Rgba8, uint>(pixels);
        var four = Four;
        int i = 0;
        for (; i + 16 <= words.Length; i += 16)
        {
            // Narrowing keeps the lowest eight bits of a lane.
            var low = Vector128.Narrow(Lanes(words[i..]), Lanes(words[(i + 4)..]));
            var high = Vector128.Narrow(Lanes(words[(i + 8)..]), Lanes(words[(i + 12)..]));
            var held = Vector128.Narrow(low, high);
            (isClearing ? Vector128.AndNot(Vector128.Create<byte>(mask[i..]), held) : held).CopyTo(mask[i..]);
        }

        for (; i < pixels.Length; i++)
        {
            mask[i] = Holds(pixels[i]) ? (isClearing ? (byte)0 : (byte)255) : isClearing ? mask[i] : (byte)0;
        }

        Vector128<uint> Lanes(ReadOnlySpan<uint> words) => four.Of(Vector128.Create(words));
    }

    /// <summary>The test of four pixels at once.</summary>
    public Lanes Four => new(Word(Least), Word(Most));

    private static uint Word(Rgba8 pixel) => Unsafe.BitCast<Rgba8, uint>(pixel);

    /// <summary>A test of four pixels, each in a lane, its bytes as they lie in memory.</summary>
    internal readonly struct Lanes(uint least, uint most)
    {
        private readonly Vector128<byte> least = Vector128.Create(least).AsByte(), most = Vector128.Create(most).AsByte();

        /// <summary>All bits of the lanes for which the test holds: where the pixel is what is left of it between the bounds.</summary>
        public Vector128<uint> Of(Vector128<uint> pixels) => Vector128.Equals(Vector128.Max(Vector128.Min(pixels.AsByte(), most), least).AsUInt32(), pixels);
    }
}
