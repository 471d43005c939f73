using System.Collections.Immutable;
using Recipes.Hosting.CarryOvers;
using Recipes.Hosting.Reports;
using Recipes.Hosting.Runs;
using Recipes.Hosting.Tests.Pages;
using Recipes.Imaging;
using Recipes.Protocol;

namespace Recipes.Hosting.Tests;

/// <summary>What carry-over may say of regions that a list has no room for. The regions are laid out here, so what became of each is known.</summary>
public class CarriedAnswersTests
{
    private static readonly GarmentSetup Light = new() { Name = "light-garment", PlatenWidth = 14, PlatenHeight = 16 };
    private static readonly Artwork Canvas = Artwork.FromPixels(Plane<Rgba8>.OneValue(2100, 2000, Rgba8.White));
    private static readonly RecipeSpec Spec = new("Title", "Purpose", 1, "", [new ParameterSpec("except", ParameterType.RegionNumbers, "", null, null, [], "All but these", 1)]);
    private static readonly ParameterValues Given = new(
        ImmutableSortedDictionary<string, string>.Empty.Add("except", "1700"), ImmutableSortedDictionary<string, string>.Empty.Add("except", "1700"));

    [Theory]
    [InlineData(9_999, false)]
    [InlineData(10_000, true)]
    public void Every_listed_region_is_looked_at_and_a_full_list_is_said_to_leave_some_out(int listed, bool leavesOut)
    {
        var carried = CarriedAnswers.Of(Given, Spec, Listed([.. Enumerable.Range(1, listed)]), Listed([.. Enumerable.Range(1, listed).Where(number => number != 5000), 10_001]), 300);
        carried.LeavesOut.ShouldBe(leavesOut);
        carried.Gone.ShouldBe([5000]);
        carried.Numbers["except"].ShouldBe([1700]);
        carried.Open.ShouldHaveSingleItem().Why.ShouldBe(leavesOut ? "no listed region lay there in the earlier art" : "nothing lay there in the earlier art");
    }

    // Dots of 12 px in rows of 100; 10,001 lies to the right of them, where no dot is.
    private static RunResult Listed(int[] numbers) => new(Canvas, Canvas, HarborArt.Report(Canvas.Flat, Canvas.Flat, Light) with
    {
        Regions = [new ReportedRegions("enclosed white", [.. numbers.Select(number => new ReportedRegion(
            number, number > 10_000 ? new Box(2050, 100, 12, 12) : new Box((number - 1) % 100 * 20, (number - 1) / 100 * 20, 12, 12), 113, true))])],
    });
}
