using Recipes.Hosting.Cases;
using Recipes.Hosting.Runs;
using Recipes.Hosting.Tests.Workers;
using Recipes.Hosting.Trust;
using Recipes.Hosting.Workers;
using Recipes.Problems;

namespace Recipes.Hosting.Tests.Sharing;

/// <summary>An approval runs the cases of what it signs, signs with the user's key, and says what that is worth in the house.</summary>
[Collection(nameof(Alone))]
public sealed class ApproveTests : IDisposable
{
    private const string Mine = "Recipe.Title(\"Mine\");\nArt.MakePrintable(Art.Find.PureWhite().Enclosed(), layer: \"mine\");\n";
    private readonly ShopAlone shop = new();

    public void Dispose() => shop.Dispose();

    private ApprovedRecipes Give(string recipe, WorkerPool? workers = null, string? key = null) =>
        Approve.Run(shop.Shop, new ApproveRequest(shop.At(recipe), "Mara") { Key = key }, workers ?? shop.Workers);

    [Fact]
    public void A_recipe_is_signed_where_its_cases_pass_and_not_before()
    {
        shop.Write("mine.csx", Mine);
        ShopAlone.CodeOf(() => Give("mine.csx")).ShouldBe(Codes.UnknownKey);
        var key = SigningKey.Create("press-room");
        shop.Write("mine.cases/belly.json", TestRecipesTests.Case(["bbbb", "b..b", "bbbb"], """{ "changed": 1 }"""));
        Should.Throw<ProblemException>(() => Give("mine.csx")).Problems[0].Message.ShouldContain("belly: changed: 1 was expected, and it is 2");
        File.Exists(shop.At("mine.lock")).ShouldBeFalse();
        shop.Write("mine.cases/belly.json", TestRecipesTests.Case(["bbbb", "b..b", "bbbb"], """{ "changed": 2 }"""));
        var approved = Give("mine.csx");
        (approved.Path, approved.Cases, approved.Key.Sha256).ShouldBe((shop.At("mine.lock"), "1 passed", key.Key.Sha256));
        approved.Lock.Approvals.ShouldHaveSingleItem().On.ShouldBe(new DateOnly(2026, 11, 25));
        // No house, no worth; a house that lists the key gives it some, and one that is demanded is enough to keep a step.
        (approved.House.File, approved.Worth.State).ShouldBe((null, ApprovalState.Foreign));
        shop.OpenHouse("press-room");
        Give("mine.csx").Worth.State.ShouldBe(ApprovalState.Approved);
        shop.Keep(shop.At("mine.csx"), shop.WriteRing("ring.png")).Step.ShouldBe(1);
        ShopAlone.CodeOf(() => Give("mine.csx", key: "spare")).ShouldBe(Codes.UnknownKey);
    }

    [Fact]
    public void A_list_is_signed_with_what_its_recipes_are_now()
    {
        SigningKey.Create("press-room");
        shop.OpenHouse("press-room");
        string ring = shop.WriteRing("ring.png");
        shop.Write("mine.csx", Mine);
        shop.Write("bare.csx", "Recipe.Title(\"Bare\");\nRecipe.LeavesBare(\"The paper.\");\n");
        shop.Write("evening.recipes", "recipes-list 1\nmine\nbare\n");
        ShopAlone.CodeOf(() => shop.Keep(shop.At("evening.recipes"), ring)).ShouldBe(Codes.NotApproved);
        var approved = Give("evening.recipes");
        (approved.Path, approved.Cases, approved.Worth.State).ShouldBe((shop.At("evening.recipes.lock"), "none", ApprovalState.Approved));
        approved.Lock.Files.Select(file => file.Name).ShouldBe(["bare/bare.csx", "evening.recipes", "mine/mine.csx"]);
        approved.LeaveBare.Select(recipe => recipe.Source.Name).ShouldBe(["bare"]);
        shop.Keep(shop.At("evening.recipes"), ring).Step.ShouldBe(1);
        shop.Write("mine.csx", Mine + " ");
        ShopAlone.CodeOf(() => shop.Keep(shop.At("evening.recipes"), ring)).ShouldBe(Codes.NotApproved);
    }

    [Fact]
    public void What_never_ends_or_is_refused_is_not_signed_and_says_why()
    {
        SigningKey.Create("press-room");
        shop.Write("mine.csx", "Recipe.Title(\"Mine\");\nRecipe.Purpose(\"Never ends.\");\nwhile (true) { }\n");
        ShowRecipe.Find(shop.Shop, shop.At("mine.csx"), null).Recipe.Spec.Purpose.ShouldBe("Never ends.");
        shop.Write("mine.cases/ends.json", TestRecipesTests.Case(["bb"], """{ "changed": 0 }"""));
        using var hasty = new WorkerPool(new WorkerLimits(TimeSpan.FromSeconds(3), null));
        Should.Throw<ProblemException>(() => Give("mine.csx", hasty)).Problems[0].Message.ShouldContain("ends: " + shop.At("mine.csx") + ": error R4003");
        File.Exists(shop.At("mine.lock")).ShouldBeFalse();
        // What a later program may need is told as such, not as a slip of the pen.
        shop.Write("mine.csx", "Recipe.Title(\"Mine\");\nRecipe.NeedsApi(2);\nArt.Sail();\n");
        Should.Throw<ProblemException>(() => Give("mine.csx")).Problems.ShouldHaveSingleItem().Code.Id.ShouldBe("R2009");
    }
}
