using CsCheck;

namespace Recipes.Imaging.Tests;

/// <summary>Masks of dark pixels, made many at a time, held to one pixel at a time.</summary>
public class DarkPixelsTests
{
    private static readonly Rgba8[] Palette =
    [
        Rgba8.Black, new(20, 20, 20), new(35, 31, 32), new(8, 8, 15), new(14, 22, 54), new(58, 10, 20), new(90, 96, 99), new(101, 101, 101), Rgba8.White,
        new(20, 20, 20, 90), default,
    ];

    [Fact]
    public void Masks_are_what_each_pixel_says() => Gen.Select(Gen.Int[1, 70], Gen.Int[1, 5], Gen.Int[0, 10].Array[350], Gen.Bool.Array[350], Gen.Int[0, 300])
        .Holds((width, height, colors, taken, luma) =>
    {
        var art = Pictures.Art(width, height, (x, y) => Palette[colors[(y * width) + x]]);
        var dark = DarkPixels.Of(art, 13, 3);
        if (!dark.Any)
        {
            return;
        }

        for (int i = 0; i < width * height; i++)
        {
            // The luma of ITU-R BT.601: 0.299 R + 0.587 G + 0.114 B, here in 256ths.
            var p = art[i % width, i / width];
            (dark.Levels[i], dark.Tints[i]).ShouldBe((p.A < 128 ? (byte)255 : Largest(p), (byte)(Largest(p) - Least(p))), $"{p}");
            ((double)dark.Lumas[i]).ShouldBe((0.299 * p.R) + (0.587 * p.G) + (0.114 * p.B), 1.5, $"{p}");
        }

        int from = Math.Min(3, (width * height) - 1), count = (width * height) - from;
        byte[] drawn = [.. taken.Take(width * height).Select(is255 => is255 ? (byte)255 : (byte)0)];
        byte[] loose = new byte[count], kept = drawn[from..], lit = drawn[from..];
        dark.Loose(drawn, luma, from, loose);
        dark.Keep(Dark.Near, from, kept);
        dark.DropExact(from, lit);
        for (int i = 0; i < count; i++)
        {
            int at = from + i;
            bool isLoose = drawn[at] == 0 && (dark.Kinds[at] != Dark.No ? dark.Lumas[at] <= luma : luma >= 255 && dark.Levels[at] <= 100);
            (loose[i] == 255, kept[i] == 255, lit[i] == 255)
                .ShouldBe((isLoose, drawn[at] == 255 && dark.Kinds[at] >= Dark.Near, drawn[at] == 255 && dark.Levels[at] > 0),
                    $"{art[at % width, at / width]}");
        }
    }, iter: 300);

    private static byte Largest(Rgba8 p) => Math.Max(p.R, Math.Max(p.G, p.B));

    private static byte Least(Rgba8 p) => Math.Min(p.R, Math.Min(p.G, p.B));
}
