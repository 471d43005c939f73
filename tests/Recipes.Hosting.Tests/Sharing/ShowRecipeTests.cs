using Recipes.Hosting.Library;
using Recipes.Hosting.Runs;
using Recipes.Hosting.Setups;
using Recipes.Hosting.Tests.Workers;
using Recipes.Problems;

namespace Recipes.Hosting.Tests.Sharing;

/// <summary>Recipes are listed by a look, and shown by what the compiled one says, whatever the house demands.</summary>
[Collection(nameof(Alone))]
public sealed class ShowRecipeTests : IDisposable
{
    private readonly ShopAlone shop = new();

    public void Dispose() => shop.Dispose();

    [Fact]
    public void Recipes_are_listed_without_compiling_any()
    {
        shop.Write("shelf/sail.csx", "Recipe.Title(\"Whiten the sail\");\nthis doesn't compile\n");
        shop.Write("shelf/print-black.csx", "");
        shop.Write("shelf/evening.recipes", "nothing that is a list\n");
        var known = KnownRecipes.Find(shop.At("shelf"));
        known.Recipes.ShouldContain(new KnownRecipe("sail", shop.At("shelf/sail.csx"), "Whiten the sail"));
        known.Recipes.ShouldContain(new KnownRecipe("print-black", shop.At("shelf/print-black.csx"), ""));
        (known.IsTwice("print-black"), known.IsTwice("sail")).ShouldBe((true, false));
        known.Lists.ShouldContain(new FoundRecipe("evening", shop.At("shelf/evening.recipes")));
        ShopAlone.CodeOf(() => KnownRecipes.Find(shop.At("nowhere"))).ShouldBe(Codes.BadUsage);
    }

    [Fact]
    public void A_recipe_is_shown_as_compiled_and_a_closed_house_forbids_no_look()
    {
        shop.Write("mine.csx", "Recipe.Title(\"Mine\");\nRecipe.Version(3);\nvar many = Param.Number(\"many\", 3, 1, 9, \"how many\");\n");
        var shown = ShowRecipe.Find(shop.Shop, shop.At("mine.csx"), null);
        (shown.Recipe.Spec.Version, shown.Example).ShouldBe((3, "recipes dry-run mine art.png"));
        shown.Recipe.Spec.Parameters.ShouldHaveSingleItem().Name.ShouldBe("many");
        (shown.Approval.State, shown.Approval.House).ShouldBe(("none", null));
        ShowRecipe.FindList(shop.At("mine.csx"), null).ShouldBeNull();

        shop.Write("evening.recipes", "recipes-list 1\nmine many=4\n");
        shop.Write("house/house.json", "{}");
        Environment.SetEnvironmentVariable("RECIPES_HOUSE", shop.At("house"));
        Closed(ShowRecipe.Find(shop.Shop, shop.At("mine.csx"), null).Approval);
        Closed(ShowRecipe.FindList(shop.At("evening.recipes"), null)!.Approval);

        static void Closed(SeenApproval seen) => (seen.State, seen.House!.Code, seen.House.Severity).ShouldBe(("unknown", Codes.BadHouse, Severity.Warning));
    }

    [Fact]
    public void A_setup_is_chosen_by_its_name()
    {
        ShopAlone.CodeOf(() => Settings.Choose("light-shirt")).ShouldBe(Codes.UnknownSetup);
        ShopAlone.CodeOf(() => Settings.Choose("setups/light-garment.json")).ShouldBe(Codes.UnknownSetup);
        Settings.Read().Setup.ShouldBeNull();
        (Settings.Read() with { By = "Mara" }).Write();
        Settings.Choose("black-garment").Name.ShouldBe("black-garment");
        // Who works there stays.
        Settings.Read().ShouldBe(new Settings("black-garment", "Mara"));
    }
}
