using System.Runtime.InteropServices;
using CsCheck;

namespace Recipes.Imaging.Tests;

public class Rgba8Tests
{
    // The byte order of a PNG color type 6 sample at bit depth 8 (PNG, third edition, 7.2).
    [Fact]
    public void Bytes_lie_in_memory_as_R_G_B_A() =>
        MemoryMarshal.AsBytes<Rgba8>([new(1, 2, 3, 4), new(5, 6, 7, 8)]).ToArray().ShouldBe([1, 2, 3, 4, 5, 6, 7, 8]);

    [Fact]
    public void Whole_numbers_are_channels_from_0_to_255_and_nothing_else()
    {
        int most = 255, none = 0;
        new Rgba8(most, none, 128, none).ShouldBe(new Rgba8((byte)255, (byte)0, (byte)128, (byte)0));
        new Rgba8(most, (byte)1, 2).ShouldBe(new Rgba8((byte)255, (byte)1, (byte)2, (byte)255));
        foreach (int bad in (int[])[-1, 256, int.MinValue, int.MaxValue])
        {
            Should.Throw<ArgumentException>(() => new Rgba8(bad, 0, 0)).Message.ShouldContain($"its red is {bad}.");
            Should.Throw<ArgumentException>(() => new Rgba8(0, bad, 0)).Message.ShouldContain($"its green is {bad}.");
            Should.Throw<ArgumentException>(() => new Rgba8(0, 0, bad)).Message.ShouldContain($"its blue is {bad}.");
            Should.Throw<ArgumentException>(() => new Rgba8(0, 0, 0, bad)).Message.ShouldContain($"its alpha is {bad}.");
        }
    }

    [Fact]
    public void Pure_means_exact_channels_at_any_alpha_above_0() => Gen.OneOf(Cases.Colors, Cases.Bytes).Holds(c =>
    {
        c.IsPureWhite.ShouldBe(c.R == 255 && c.G == 255 && c.B == 255 && c.A > 0);
        c.IsPureBlack.ShouldBe(c.R == 0 && c.G == 0 && c.B == 0 && c.A > 0);
        c.IsTransparent.ShouldBe(c.A == 0);
    });

    [Fact]
    public void Text_comes_back_as_the_same_opaque_color() => Cases.Bytes.Holds(c =>
    {
        var opaque = c.WithAlpha(255);
        Rgba8.TryParse(opaque.ToString(), out var back).ShouldBeTrue();
        back.ShouldBe(opaque);
        Rgba8.TryParse(opaque.ToString().ToUpperInvariant(), out back).ShouldBeTrue();
        back.ShouldBe(opaque);
    });

    [Fact]
    public void Text_is_red_green_blue_and_alpha_only_where_it_is_soft()
    {
        new Rgba8(255, 128, 0).ToString().ShouldBe("#ff8000");
        new Rgba8(255, 128, 0, 16).ToString().ShouldBe("#ff800010");
    }

    [Theory]
    [InlineData(null)]
    [InlineData("")]
    [InlineData("#ff80")]
    [InlineData("ff8000")]
    [InlineData("#ff80001")]
    [InlineData("#ff800g")]
    [InlineData("#+f8000")]
    [InlineData("# f8000")]
    [InlineData("#0xf800")]
    public void Other_text_is_no_color(string? text) => Rgba8.TryParse(text, out _).ShouldBeFalse();

    [Theory]
    [InlineData(10, 20, 30, 40, 0)]
    [InlineData(11, 20, 30, 40, 1)]
    [InlineData(10, 0, 30, 40, 20)]
    [InlineData(10, 20, 255, 40, 225)]
    [InlineData(10, 20, 30, 0, 40)]
    public void Largest_difference_counts_alpha_too(byte r, byte g, byte b, byte a, int levels)
    {
        Rgba8 from = new(10, 20, 30, 40), to = new(r, g, b, a);
        from.LargestDifference(to).ShouldBe(levels);
        to.LargestDifference(from).ShouldBe(levels);
    }
}
