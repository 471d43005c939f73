using Recipes.Hosting.Setups;
using Recipes.Hosting.Tests.UseCases;
using Recipes.Hosting.Tests.Workers;
using Recipes.Problems;

namespace Recipes.Hosting.Tests.Garments;

/// <summary>Setups, garments and sizes that somebody mistyped, or that the shop doesn't have.</summary>
[Collection(nameof(Alone))]
public sealed class AskedForByNameTests : IDisposable
{
    private readonly ShopAlone shop = new();

    public AskedForByNameTests() => shop.Write("home/.config/recipes/garments.json", """
        { "garments": 1, "stock": [
          { "name": "harbor-tee-navy", "style": "Harbor tee", "color": "navy", "cloth": "#1b2440", "setup": "black-garment",
            "sizes": [ { "size": "youth M" }, { "size": "S" }, { "size": "M" }, { "size": "L" }, { "size": "2XL" }, { "size": "5-6" } ] },
          { "name": "run-tee-sand", "style": "Run tee", "cloth": "#e4d9c0", "setup": "light-garment" } ] }
        """);

    public void Dispose() => shop.Dispose();

    [Theory]
    [InlineData("harbor-tee-navi", "Did you mean 'harbor-tee-navy'?")]
    [InlineData("light garment", "Did you mean 'light-garment'?")]
    [InlineData("zzz", "There are: black-garment, black-garment-opaque-white, light-garment. Garments of the stock: harbor-tee-navy, run-tee-sand.")]
    public void An_unknown_setup_is_told_what_there_is_garments_too(string name, string hint)
    {
        var problem = Bench.Refused(() => SetupStore.Find(name));
        (problem.Code, problem.Hint).ShouldBe((Codes.UnknownSetup, hint));
    }

    [Fact]
    public void A_setup_that_is_asked_for_as_a_garment_is_told_so() =>
        Bench.Refused(() => GarmentStock.Find("black-garment")).Hint.ShouldContain("--setup black-garment");

    // What a shop writes beside sizes, from common practice: counts before and behind, with a colon, an x or nothing between.
    // 2X and 3XL are sizes of their own.
    [Theory]
    [InlineData("S 4, M 12", "")]
    [InlineData("s:4 m:12 2xl:1", "")]
    [InlineData("4x M; 2 x L and 1 pc 2XL", "")]
    [InlineData("M4/L2/2XL1", "")]
    [InlineData("youth M 3, 5-6 2", "")]
    [InlineData("S 2, 3XL 4", "3XL")]
    [InlineData("XL 1, 3xl 2, 3XL 1", "XL,3xl")]
    [InlineData("youth L 2", "youth")]
    [InlineData("2X 3", "2X")]
    [InlineData("XS", "XS")]
    [InlineData("5", "")]
    public void Sizes_are_held_against_the_stock(string sizes, string unlisted) =>
        string.Join(',', OrderedSizes.Unlisted(GarmentStock.Find("harbor-tee-navy"), sizes)).ShouldBe(unlisted);

    [Fact]
    public void A_garment_without_listed_sizes_and_a_plain_setup_are_never_warned_of()
    {
        OrderedSizes.Unlisted(GarmentStock.Find("run-tee-sand"), "3XL").ShouldBeEmpty();
        OrderedSizes.Warning("light-garment", "3XL", null).ShouldBeNull();
        OrderedSizes.Warning("harbor-tee-navy", null, null).ShouldBeNull();
        var warning = OrderedSizes.Warning("harbor-tee-navy", "3XL 1", new Place("orders.csv", 2, 9)).ShouldNotBeNull();
        (warning.Code, warning.Severity, warning.Where).ShouldBe((Codes.SizeNotListed, Severity.Warning, new Place("orders.csv", 2, 9)));
        warning.Message.ShouldBe("The stock lists no 3XL of Harbor tee, navy. It has youth M, S, M, L, 2XL, 5-6.");
    }
}
