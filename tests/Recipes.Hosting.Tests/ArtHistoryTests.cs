using Recipes.Hosting.Arts;
using Recipes.Hosting.Cases;
using Recipes.Hosting.Editing;
using Recipes.Hosting.Exports;
using Recipes.Hosting.Journals;
using Recipes.Hosting.Steps;
using Recipes.Hosting.Tests.Workers;
using Recipes.Hosting.Tickets;
using Recipes.Problems;
using Recipes.Work;

namespace Recipes.Hosting.Tests;

/// <summary>What was done to an art is told from its work file, and found in the journal.</summary>
[Collection(nameof(Alone))]
public sealed class ArtHistoryTests : IDisposable
{
    private readonly ShopAlone shop = new();
    private readonly string ring;

    public ArtHistoryTests() => ring = shop.WriteRing("ring.png");

    public void Dispose() => shop.Dispose();

    [Fact]
    public void The_history_tells_the_steps_of_each_setup_and_the_notes()
    {
        string sha256 = ShopAlone.HashOf(ring);
        var none = ArtHistory.Of(shop.Shop, ring, null);
        (none.ArtSha256, none.Setups.Length, none.Notes.Length).ShouldBe((null, 0, 0));
        ArtNotes.Find(shop.Shop, ring).Notes.ShouldBeEmpty();
        ShopAlone.CodeOf(() => ArtHistory.Of(shop.Shop, shop.At("gull.png"), null)).ShouldBe(Codes.ArtMissing);

        shop.Keep("printable-whites", ring, "night-shift").Step.ShouldBe(1);
        var left = ArtNotes.Leave(shop.Shop, ring, "The beak\nbrighter", "day-shift");
        (left.ArtSha256, left.Notes.ShouldHaveSingleItem()).ShouldBe((sha256, new ArtNote("The beak brighter", "day-shift", ShopAlone.Now)));
        MoveSteps.Undo(shop.Shop, ring, null, null, "day-shift");

        var history = ArtHistory.Of(shop.Shop, ring, null);
        (history.ArtSha256, history.LastSetup).ShouldBe((sha256, "light-garment"));
        history.Notes.ShouldBe(left.Notes);
        ArtNotes.Find(shop.Shop, ring).Notes.ShouldBe(left.Notes);
        var (line, steps) = history.Setups.ShouldHaveSingleItem();
        (line.Setup, line.Head).ShouldBe(("light-garment", 0));
        var (step, report) = steps.ShouldHaveSingleItem();
        (step.Number, step.State, step.Record.At).ShouldBe((1, StepState.Undone, ShopAlone.Now));
        (step.Record.Recipe, step.Record.By).ShouldBe(("printable-whites", "night-shift"));
        // A side of 40 with a ring from 8 to 12 leaves 16 x 16 px inside.
        ((int)report["changed"]!["pixels"]!).ShouldBe(256);
        ArtHistory.Of(shop.Shop, ring, "black-garment").Setups.ShouldBeEmpty();

        File.WriteAllBytes(ring, [.. File.ReadAllBytes(ring), 0]);
        ShopAlone.CodeOf(() => ArtHistory.Of(shop.Shop, ring, null)).ShouldBe(Codes.ArtChanged);
        ShopAlone.CodeOf(() => ArtNotes.Leave(shop.Shop, ring, "late", null)).ShouldBe(Codes.ArtChanged);
    }

    [Fact]
    public void A_note_begins_a_work_file_of_its_own()
    {
        ShopAlone.CodeOf(() => ArtNotes.Leave(shop.Shop, ring, " ", null)).ShouldBe(Codes.BadUsage);
        File.Exists(ring + ".work").ShouldBeFalse();
        ArtNotes.Leave(shop.Shop, ring, "Ships on Friday", null);
        var history = ArtHistory.Of(shop.Shop, ring, null);
        (history.Setups.Length, history.LastSetup, history.Notes[0].Text).ShouldBe((0, null, "Ships on Friday"));
    }

    [Fact]
    public void The_journal_is_searched_by_content_name_recipe_person_and_day()
    {
        shop.Keep("printable-whites", ring, "night-shift");
        MoveSteps.Undo(shop.Shop, ring, null, null, "day-shift");
        Export.Write(shop.Shop, new ExportRequest(new ArtReference(ring), shop.At("print.png")), exported => exported.State.Step).ShouldBe(0);
        Find(new JournalSearch()).ShouldBe([JournalAct.Commit, JournalAct.Undo, JournalAct.Export]);
        // By content under another name, by the name of what was written, and by a name that nothing has any more.
        File.Move(ring, shop.At("moved.png"));
        Find(new JournalSearch { ArtPath = shop.At("moved.png") }).ShouldBe([JournalAct.Commit, JournalAct.Undo, JournalAct.Export]);
        Find(new JournalSearch { ArtPath = shop.At("print.png") }).ShouldBe([JournalAct.Export]);
        Find(new JournalSearch { ArtPath = ring, By = "Night-Shift" }).ShouldBe([JournalAct.Commit]);
        Find(new JournalSearch { ArtPath = shop.At("gull.png") }).ShouldBeEmpty();
        Find(new JournalSearch { Recipe = "printable-whites", Setup = "light-garment" }).ShouldBe([JournalAct.Commit, JournalAct.Undo]);
        Find(new JournalSearch { Recipe = "pure-black" }).ShouldBeEmpty();
        Find(new JournalSearch { Setup = "black-garment" }).ShouldBeEmpty();
        Find(new JournalSearch { Since = ShopAlone.Now }).Length.ShouldBe(3);
        Find(new JournalSearch { Since = ShopAlone.Now.AddSeconds(1) }).ShouldBeEmpty();

        static JournalAct[] Find(JournalSearch search) => [.. search.Find().Entries.Select(entry => entry.Act)];
    }

    [Fact]
    public void A_new_recipe_is_made_whole_and_takes_the_place_of_nothing()
    {
        var request = new NewRecipeRequest("sail-check", shop.Folder);
        NewRecipe.Make(shop.Shop, request, shop.Workers).Select(file => Path.GetRelativePath(shop.Folder, file)).ShouldBe(
            ["sail-check/sail-check.csx", "sail-check/cases/first.json", "sail-check/sail-check.csproj", "sail-check/.gitignore", "sail-check/.editor"]);
        TestRecipes.Run(shop.Shop, new TestRequest(shop.At("test")) { Recipe = shop.At("sail-check/sail-check.csx") }, shop.Workers)[0].Passed.ShouldBe(1);
        Directory.Delete(shop.At("sail-check/.editor"), recursive: true);
        var before = shop.Snapshot();
        ShopAlone.CodeOf(() => NewRecipe.Make(shop.Shop, request, shop.Workers)).ShouldBe(Codes.OutputExists);
        ShopAlone.CodeOf(() => NewRecipe.Make(shop.Shop, request with { Name = "gull", EditorOnly = true }, shop.Workers)).ShouldBe(Codes.UnknownRecipe);
        ShopAlone.CodeOf(() => NewRecipe.Make(shop.Shop, request with { Name = "printable-whites" }, shop.Workers)).ShouldBe(Codes.RecipeInTwoPlaces);
        foreach (string name in (string[])["Sail Check", "../sail"])
        {
            ShopAlone.CodeOf(() => NewRecipe.Make(shop.Shop, request with { Name = name }, shop.Workers)).ShouldBe(Codes.BadUsage);
        }

        shop.Snapshot().ShouldBe(before);
        NewRecipe.Make(shop.Shop, request with { EditorOnly = true }, shop.Workers).ShouldBe([shop.At("sail-check/.editor")]);
        Directory.GetFiles(shop.At("sail-check/.editor/references"), "*.dll").ShouldNotBeEmpty();
    }

    [Fact]
    public void A_folder_from_elsewhere_leads_nowhere_else()
    {
        Assert.SkipWhen(OperatingSystem.IsWindows(), "Links need rights there.");
        shop.Write("sent/sent.csx", "Recipe.Title(\"Sent\");\n");
        shop.Write("notes/recipe.targets", "mine");
        Directory.CreateSymbolicLink(shop.At("sent/.editor"), shop.At("notes"));
        var request = new NewRecipeRequest("sent", shop.Folder) { EditorOnly = true };
        ShopAlone.CodeOf(() => NewRecipe.Make(shop.Shop, request, shop.Workers)).ShouldBe(Codes.OutputUnwritable);
        Directory.GetFiles(shop.At("notes")).Select(File.ReadAllText).ShouldBe(["mine"]);
    }
}
