using Recipes.Hosting.Journals;
using Recipes.Hosting.Library;
using Recipes.Hosting.Packs;
using Recipes.Hosting.Runs;
using Recipes.Hosting.Tests.Workers;
using Recipes.Hosting.Trust;
using Recipes.Problems;

namespace Recipes.Hosting.Tests.Sharing;

/// <summary>Recipes are packed, added, updated and told of, as a shop does it with another's.</summary>
[Collection(nameof(Alone))]
public sealed class AddRecipesTests : IDisposable
{
    private const string Mine = "Recipe.Title(\"Mine\");\nRecipe.Purpose(\"Keeps the sail white.\");\n";
    private static readonly AddOptions Mara = new("Mara") { Note = "Sails came out gray" };
    private readonly ShopAlone shop = new();

    public void Dispose() => shop.Dispose();

    private string Added => shop.At("home/.local/share/recipes/recipes");

    private string Pack(params string[] names) => PackAs("harbor.pack", names);

    private string PackAs(string file, params string[] names)
    {
        PackRecipes.Write(shop.Shop, new PackRequest(shop.At(file)) { Names = [.. names.Select(shop.At)], Force = true });
        return shop.At(file);
    }

    [Fact]
    public void A_pack_brings_a_recipe_and_an_update_tells_what_changed()
    {
        shop.Write("shelf/mine.csx", Mine);
        string pack = Pack("shelf/mine.csx");
        var shown = AddRecipes.From(shop.Shop, pack, [], Mara with { OnlyShow = true });
        (shown.Installed, shown.Plan.ShouldHaveSingleItem().Arrival).ShouldBe((false, Arrival.New));
        Directory.Exists(Added).ShouldBeFalse();
        ShopAlone.CodeOf(() => AddRecipes.From(shop.Shop, pack, ["sail"], Mara)).ShouldBe(Codes.UnknownRecipe);
        var added = AddRecipes.From(shop.Shop, pack, ["mine"], Mara);
        (added.Installed, added.Problems.Length).ShouldBe((true, 0));
        File.ReadAllText(Path.Combine(Added, "mine/mine.csx")).ShouldBe(Mine);

        shop.Write("shelf/mine.csx", Mine + "Recipe.Version(2);\n");
        Pack("shelf/mine.csx");
        var update = AddRecipes.Update(shop.Shop, [], new AddOptions(null)).Plan.ShouldHaveSingleItem();
        (update.Arrival, update.HereVersion, update.Recipe.Version).ShouldBe((Arrival.Newer, 1, 2));
        update.Changes.ShouldHaveSingleItem().Lines[^1].ShouldBe("+ Recipe.Version(2);");
        AddRecipes.Update(shop.Shop, ["mine"], Mara).Plan[0].Arrival.ShouldBe(Arrival.Same);
        ShopAlone.CodeOf(() => AddRecipes.Update(shop.Shop, ["sail"], Mara)).ShouldBe(Codes.UnknownRecipe);

        // Each in the journal once: what was here already is no news.
        var entries = Journal.Read(_ => true).Entries;
        entries.Select(entry => (entry.At, entry.Act, entry.By, entry.From, entry.Replaced, entry.Note)).ShouldBe(
        [
            (ShopAlone.Now, JournalAct.Add, "Mara", "harbor.pack", null, "Sails came out gray"), (ShopAlone.Now, JournalAct.Add, null, "harbor.pack", 1, null),
        ]);
        entries[1].Recipe.ShouldBe(new JournalRecipe("mine", 2, RecipeSource.Read("mine", shop.At("shelf/mine.csx")).Sha256));
    }

    [Fact]
    public void What_would_undo_a_change_is_told_and_nothing_is_installed()
    {
        shop.Write("shelf/mine.csx", Mine);
        AddRecipes.From(shop.Shop, shop.At("shelf"), [], Mara).Installed.ShouldBeTrue();
        File.AppendAllText(Path.Combine(Added, "mine/mine.csx"), "// tonight\n");
        shop.Write("shelf/other.csx", Mine);
        var refused = AddRecipes.From(shop.Shop, shop.At("shelf"), [], Mara);
        (refused.Installed, refused.Problems.ShouldHaveSingleItem().Code).ShouldBe((false, Codes.RecipeHere));
        refused.Plan.Select(planned => planned.Arrival).ShouldBe([Arrival.ChangedHere, Arrival.New]);
        Directory.GetDirectories(Added).Select(Path.GetFileName).ShouldBe(["mine"]);
        File.ReadAllText(Path.Combine(Added, "mine/mine.csx")).ShouldEndWith("// tonight\n");
        AddRecipes.From(shop.Shop, shop.At("shelf"), ["mine"], Mara with { Force = true }).Installed.ShouldBeTrue();
        File.ReadAllText(Path.Combine(Added, "mine/mine.csx")).ShouldBe(Mine);
    }

    [Fact]
    public void A_source_that_is_gone_or_no_longer_has_a_recipe_is_a_warning()
    {
        shop.Write("shelf/mine.csx", Mine);
        shop.Write("shelf/other.csx", Mine);
        shop.Write("drive/sail.csx", Mine);
        AddRecipes.From(shop.Shop, shop.At("shelf"), [], Mara);
        AddRecipes.From(shop.Shop, shop.At("drive"), [], Mara);
        File.Delete(shop.At("shelf/other.csx"));
        Directory.Delete(shop.At("drive"), recursive: true);
        var updated = AddRecipes.Update(shop.Shop, [], Mara);
        updated.Plan.Select(planned => planned.Recipe.Name).ShouldBe(["mine"]);
        updated.Problems.Select(problem => (problem.Severity, problem.Message)).ShouldBe(
        [
            (Severity.Warning, $"{shop.At("shelf")} no longer has 'other'."), (Severity.Warning, $"{shop.At("drive")} is gone, where sail came from."),
        ], ignoreOrder: true);
    }

    [Fact]
    public void A_pack_holds_what_was_named_and_says_whose_approval_doesn_t_hold()
    {
        ShopAlone.CodeOf(() => PackRecipes.Write(shop.Shop, new PackRequest(shop.At("none.pack")))).ShouldBe(Codes.BadUsage);
        // An untouched copy of one that came with the program is a recipe of its own.
        string shipped = RecipePath.Find("print-black", null).File;
        shop.Write("ours.csx", File.ReadAllText(shipped));
        shop.Write("mine.csx", Mine);
        shop.Write("night.recipes", "recipes-list 1\nours\nmine\nclean-background\n");
        SigningKey.Create("press-room");
        Hosting.Cases.Approve.Run(shop.Shop, new Hosting.Cases.ApproveRequest(shop.At("mine.csx"), "Mara"), shop.Workers);
        var request = new PackRequest(shop.At("night.pack")) { Names = [shop.At("night.recipes")] };
        var pack = PackRecipes.Write(shop.Shop, request);
        pack.Recipes.Select(recipe => recipe.Name).ShouldBe(["night", "ours", "mine"]);
        pack.Void.ShouldBeEmpty();
        ShopAlone.CodeOf(() => PackRecipes.Write(shop.Shop, request)).ShouldBe(Codes.OutputExists);
        // A recipe's own file is never taken for an output.
        ShopAlone.CodeOf(() => PackRecipes.Write(shop.Shop, request with { Names = [shop.At("mine.csx")], Path = shop.At("mine.csx"), Force = true }))
            .ShouldBe(Codes.OutputExists);

        shop.Write("mine.csx", Mine + " ");
        PackRecipes.Write(shop.Shop, request with { Force = true }).Void.ShouldHaveSingleItem().Message
            .ShouldContain("The approval of 'mine' doesn't hold any more");
        ShopAlone.CodeOf(() => AddRecipes.From(shop.Shop, request.Path, [], Mara)).ShouldBe(Codes.ApprovalVoid);
        File.Delete(shop.At("mine.lock"));
        AddRecipes.From(shop.Shop, PackAs("night.pack", "night.recipes"), [], Mara).Installed.ShouldBeTrue();
        ShowRecipe.FindList("night", null)!.Recipes.Select(recipe => recipe.Path).ShouldBe(
            [Path.Combine(Added, "ours/ours.csx"), Path.Combine(Added, "mine/mine.csx"), RecipePath.Find("clean-background", null).File]);
    }

    [Fact]
    public void What_came_lately_is_what_was_added_and_what_was_signed()
    {
        shop.Write("shelf/mine.csx", Mine);
        AddRecipes.From(shop.Shop, shop.At("shelf"), [], Mara);
        var fresh = ArrivedRecipes.Find(shop.Shop, null, null);
        fresh.Since.ShouldBe(new DateTimeOffset(2026, 10, 26, 0, 0, 0, TimeSpan.Zero));
        fresh.Recipes.ShouldHaveSingleItem().ShouldBe(new ArrivedRecipe(ShopAlone.Now, "added", "mine", 1, "Mara")
        {
            From = "shelf", Note = "Sails came out gray", IsHere = true, Purpose = "Keeps the sail white.",
        });

        SigningKey.Create("press-room");
        Hosting.Cases.Approve.Run(shop.Shop, new Hosting.Cases.ApproveRequest("mine", "Foreman"), shop.Workers);
        var signed = ArrivedRecipes.Find(shop.Shop, null, null).Recipes.Single(one => one.What != "added");
        (signed.What, signed.Name, signed.By).ShouldBe(("signed", "mine", "Foreman"));
        signed.Doubt.ShouldNotBeNull().ShouldContain("no house configuration");
        shop.OpenHouse("press-room");
        ArrivedRecipes.Find(shop.Shop, null, null).Recipes.Where(one => one.What == "approved").ShouldHaveSingleItem().Doubt.ShouldBeNull();
        ArrivedRecipes.Find(shop.Shop, null, ShopAlone.Now.AddDays(1)).Recipes.ShouldBeEmpty();
        // What was taken away again is told, and that it isn't here.
        Directory.Delete(Path.Combine(Added, "mine"), recursive: true);
        var gone = ArrivedRecipes.Find(shop.Shop, null, null).Recipes.ShouldHaveSingleItem();
        (gone.IsHere, gone.Purpose).ShouldBe((false, ""));
    }
}
