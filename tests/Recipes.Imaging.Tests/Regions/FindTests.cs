using CsCheck;

namespace Recipes.Imaging.Tests;

public class FindTests
{
    private static readonly Gen<Rgba8> Pixels = Gen.OneOf(
        Pictures.OneOf(Rgba8.White, Rgba8.Black, Rgba8.ClearWhite, Pictures.Clear, new Rgba8(255, 255, 255, 1), new Rgba8(0, 0, 0, 1), new Rgba8(254, 255, 255), new Rgba8(0, 1, 0)),
        Gen.Select(Gen.Byte, Gen.Byte, Gen.Byte, Gen.Byte, (r, g, b, a) => new Rgba8(r, g, b, a)));

    private static readonly Gen<Plane<Rgba8>> Arts = Gen.Select(Gen.Int[1, 140], Gen.Int[1, 12]).SelectMany((w, h) =>
        Pixels.Array[w * h].Select(pixels => Plane<Rgba8>.FromContiguous(w, h, pixels)));

    private static void ShouldBe(Region found, Plane<Rgba8> art, Func<Rgba8, bool> expected)
    {
        found.FoundIn.ShouldBeSameAs(art);
        found.Coverage.ToContiguous().ShouldBe(art.ToContiguous().Select(p => expected(p) ? (byte)255 : (byte)0));
    }

    // design.md's ink states: pure means exact at any alpha above 0, transparent means alpha 0 whatever the color.
    [Fact]
    public void Pure_and_transparent_pixels_are_found_exactly() => Arts.Holds(art =>
    {
        ShouldBe(Find.PureWhite(art), art, p => p.A > 0 && p is { R: 255, G: 255, B: 255 });
        ShouldBe(Find.PureBlack(art), art, p => p.A > 0 && p is { R: 0, G: 0, B: 0 });
        ShouldBe(Find.Transparent(art), art, p => p.A == 0);
        ShouldBe(Find.Where(art, p => p.R > p.A), art, p => p.R > p.A);
    }, iter: 50);

    // The answer remembered for a color must be the one computed for it.
    [Fact]
    public void Like_is_the_difference_of_every_pixel() => Gen.Select(Arts, Pixels, Gen.Double[0, 40]).Holds((art, color, within) =>
    {
        var wanted = LabSpace.D50.Of(color);
        ShouldBe(Find.Like(art, color, within), art, p => p.A > 0 && Ciede2000.Difference(wanted, LabSpace.D50.Of(p)) <= within);
    }, iter: 30);

    // The trade's differences from white: 250 is 1.0, 245 is 2.0 (neutral, so the white of Lab doesn't matter).
    [Fact]
    public void Like_takes_what_the_trade_counts_as_near()
    {
        var grays = Pictures.Art(256, 1, (x, _) => new Rgba8((byte)x, (byte)x, (byte)x));
        Find.Like(grays, Rgba8.White, 0).Count.ShouldBe(1);
        Find.Like(grays, Rgba8.White, 1.0).Count.ShouldBe(6);
        Find.Like(grays, Rgba8.White, 2.03).Count.ShouldBe(11);
        Should.Throw<ArgumentOutOfRangeException>(() => Find.Like(grays, Rgba8.White, -1));
        Should.Throw<ArgumentOutOfRangeException>(() => Find.Like(grays, Rgba8.White, double.NaN));
    }

    // trade.md, "Near-black": 35,31,32 has L* 12.2 and drops at 13; 8,8,15 has chroma 3.1 and survives 3; navy and
    // maroon survive by chroma (their values are ours).
    [Theory]
    [InlineData(35, 31, 32, 255, true)]
    [InlineData(35, 31, 32, 0, false)]
    [InlineData(8, 8, 15, 255, false)]
    [InlineData(0, 0, 0, 1, true)]
    [InlineData(0, 0, 40, 255, false)]
    [InlineData(40, 0, 0, 255, false)]
    [InlineData(60, 60, 60, 255, false)]
    public void NearBlack_asks_for_darkness_and_neutrality(byte r, byte g, byte b, byte a, bool found) =>
        Find.NearBlack(Plane<Rgba8>.OneValue(1, 1, new Rgba8(r, g, b, a)), 13, 3).Count.ShouldBe(found ? 1 : 0);

    [Fact]
    public void NearBlack_limits_are_inclusive_after_rounding()
    {
        var color = new Rgba8(35, 31, 32);
        var art = Plane<Rgba8>.OneValue(1, 1, color);
        var lab = LabSpace.D50.Of(color);
        Find.NearBlack(art, lab.L, lab.Chroma).Count.ShouldBe(1);
        Find.NearBlack(art, lab.L - 2e-6, lab.Chroma).Count.ShouldBe(0);
        Find.NearBlack(art, lab.L, lab.Chroma - 2e-6).Count.ShouldBe(0);
    }

    [Fact]
    public void Where_asks_once_for_every_pixel_in_reading_order()
    {
        var art = Pictures.Art(130, 3, (x, y) => new Rgba8((byte)x, (byte)y, 0));
        var asked = new List<Rgba8>();
        Find.Where(art, p =>
        {
            asked.Add(p);
            return true;
        });
        asked.ShouldBe(art.ToContiguous());
    }
}
