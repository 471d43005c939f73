using CsCheck;

namespace Recipes.Imaging.Tests;

public class InkRulesTests
{
    private static readonly InkRules Light = new(), Black = new() { BlackBare = true }, OpaqueWhite = new() { WhiteBare = false };

    // The three shipped setups of the command-line contract: what is bare under each.
    public static TheoryData<byte, byte, byte, byte, InkState, InkState, InkState> Pixels => new()
    {
        { 255, 255, 255, 255, InkState.BareWhite, InkState.BareWhite, InkState.Prints },
        { 255, 255, 255, 1, InkState.BareWhite, InkState.BareWhite, InkState.Prints },
        { 255, 255, 255, 0, InkState.Transparent, InkState.Transparent, InkState.Transparent },
        { 0, 0, 0, 255, InkState.Prints, InkState.BareBlack, InkState.Prints },
        { 0, 0, 0, 1, InkState.Prints, InkState.BareBlack, InkState.Prints },
        { 0, 0, 0, 0, InkState.Transparent, InkState.Transparent, InkState.Transparent },
        { 254, 255, 255, 255, InkState.Prints, InkState.Prints, InkState.Prints },
        { 255, 254, 255, 255, InkState.Prints, InkState.Prints, InkState.Prints },
        { 255, 255, 254, 255, InkState.Prints, InkState.Prints, InkState.Prints },
        { 1, 0, 0, 255, InkState.Prints, InkState.Prints, InkState.Prints },
        { 0, 1, 0, 255, InkState.Prints, InkState.Prints, InkState.Prints },
        { 0, 0, 1, 255, InkState.Prints, InkState.Prints, InkState.Prints },
        { 8, 8, 15, 0, InkState.Transparent, InkState.Transparent, InkState.Transparent },
        { 8, 8, 15, 1, InkState.Prints, InkState.Prints, InkState.Prints },
    };

    [Theory]
    [MemberData(nameof(Pixels))]
    public void Each_pixel_is_in_the_state_of_the_contract(byte r, byte g, byte b, byte a, InkState light, InkState black, InkState opaqueWhite)
    {
        var pixel = new Rgba8(r, g, b, a);
        Light.StateOf(pixel).ShouldBe(light);
        Black.StateOf(pixel).ShouldBe(black);
        OpaqueWhite.StateOf(pixel).ShouldBe(opaqueWhite);
    }

    [Fact]
    public void The_order_is_transparent_then_white_then_black() => Gen.Select(Gen.OneOf(Cases.Colors, Cases.Bytes), Cases.Rules).Holds((pixel, rules) =>
    {
        int sum = pixel.R + pixel.G + pixel.B;
        var expected = InkState.Prints;
        // The weakest claim first, so that a stronger one takes its place.
        expected = rules.BlackBare && sum == 0 ? InkState.BareBlack : expected;
        expected = rules.WhiteBare && sum == 3 * 255 ? InkState.BareWhite : expected;
        expected = rules.TransparentBare && pixel.A == 0 ? InkState.Transparent : expected;
        rules.StateOf(pixel).ShouldBe(expected);
    }, iter: 1000);

    [Fact]
    public void Counts_equal_the_state_of_every_pixel_under_every_combination_of_rules() => Cases.Sizes.SelectMany(size =>
        Cases.Rasters(size.Width, size.Height, Cases.Colors)).Holds(raster =>
    {
        var plane = raster.ToPlane();
        var samples = raster.Samples();
        for (int bits = 0; bits < 8; bits++)
        {
            var rules = new InkRules { WhiteBare = (bits & 1) != 0, BlackBare = (bits & 2) != 0, TransparentBare = (bits & 4) != 0 };
            var states = new long[4];
            foreach (var pixel in samples)
            {
                states[(int)rules.StateOf(pixel)]++;
            }

            var count = InkCount.Of(plane, rules);
            count.ShouldBe(new InkCount(states[(int)InkState.Prints], states[(int)InkState.BareWhite], states[(int)InkState.BareBlack], states[(int)InkState.Transparent]));
            count.Total.ShouldBe(samples.LongLength);
        }
    }, iter: 30);

    [Fact]
    public void A_bared_pixel_is_bare_where_the_machine_skips_what_it_was_written_as() => Gen.Select(Cases.Bytes, Gen.Bool).Holds((pixel, blackBare) =>
    {
        foreach (var (way, rules) in new[]
        {
            (BareAs.Both, new InkRules { BlackBare = blackBare }),
            (BareAs.Both, new InkRules { BlackBare = blackBare, WhiteBare = false }),
            (BareAs.Both, new InkRules { BlackBare = blackBare, TransparentBare = false }),
            (BareAs.White, new InkRules { BlackBare = blackBare, TransparentBare = false }),
            (BareAs.Transparent, new InkRules { BlackBare = blackBare, WhiteBare = false }),
        })
        {
            var written = rules with { BareAs = way };
            written.StateOf(written.Bared(pixel)).ShouldNotBe(InkState.Prints);
        }
    });

    // The levels that the command-line contract names; common practice, no source.
    [Fact]
    public void Bared_pixels_and_the_levels_next_to_bare_are_the_contracts()
    {
        var pixel = new Rgba8(240, 120, 20, 200);
        Light.Bared(pixel).ShouldBe(new Rgba8(255, 255, 255, 0));
        (Light with { BareAs = BareAs.White }).Bared(pixel).ShouldBe(new Rgba8(255, 255, 255));
        (Light with { BareAs = BareAs.Transparent }).Bared(pixel).ShouldBe(new Rgba8(240, 120, 20, 0));
        Light.BrightestWhite.ShouldBe(new Rgba8(254, 254, 254));
        Light.DarkestBlack.ShouldBe(new Rgba8(1, 1, 1));
        foreach (var rules in new[] { Light, Black, OpaqueWhite })
        {
            rules.StateOf(rules.BrightestWhite).ShouldBe(InkState.Prints);
            rules.StateOf(rules.DarkestBlack).ShouldBe(InkState.Prints);
        }
    }
}
