using Recipes.Hosting.Reports;
using Recipes.Hosting.Tests.Pages;
using Recipes.Imaging;

namespace Recipes.Hosting.Tests;

/// <summary>What becomes of a region, in the trade's two words.</summary>
public class RegionFateTests
{
    private static readonly GarmentSetup Light = new() { Name = "light-garment", PlatenWidth = 14, PlatenHeight = 16 };
    private static readonly ReportedRegion Chosen = new(1, new Box(0, 0, 5, 5), 25, true), Left = new(2, new Box(9, 9, 5, 5), 25, false);

    [Fact]
    public void A_region_prints_or_stays_bare_as_the_run_lays_ink_or_takes_it()
    {
        Plane<Rgba8> bare = Plane<Rgba8>.OneValue(30, 30, Rgba8.White), printed = Plane<Rgba8>.OneValue(30, 30, HarborArt.Printed);
        var lays = HarborArt.Report(bare, printed, Light);
        RegionFate.Of(lays, [Chosen]).ShouldBe(new RegionFate("prints", "stays bare"));
        RegionFate.Of(lays, [Left]).ShouldBe(new RegionFate("stays bare", "prints"));
        var takes = HarborArt.Report(printed, bare, Light);
        RegionFate.Of(takes, [Chosen]).ShouldBe(new RegionFate("stays bare", "prints"));
        RegionFate.Of(takes, [Left]).ShouldBe(new RegionFate("prints", "stays bare"));
        // No ink comes or goes, or some regions were chosen and others weren't: neither word would be true.
        RegionFate.Of(HarborArt.Report(bare, bare, Light), [Chosen]).Unnamed.ShouldBe("is changed");
        RegionFate.Of(lays, [Chosen, Left]).Unnamed.ShouldBe("is as the pictures show");
    }
}
