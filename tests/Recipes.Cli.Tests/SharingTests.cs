namespace Recipes.Cli.Tests;

/// <summary>Approval, packs and added recipes at the command line; what they mean in detail is tested with the host.</summary>
public sealed class SharingTests : IDisposable
{
    private const string Mine = "Recipe.Title(\"Mine\");\nArt.MakePrintable(Art.Find.PureWhite().Enclosed(), layer: \"mine\");\n";
    private readonly Shop shop = new();

    public SharingTests() => Picture.WriteRing(shop.At("ring.png"));

    public void Dispose() => shop.Dispose();

    [Fact]
    public void A_house_that_demands_approval_keeps_nothing_else()
    {
        shop.Write("mine.csx", Mine);
        shop.Json("keys", "new", "press-room").ShouldExit(0);
        shop.Write("house/house.json", """{ "house": 1, "requireApproval": true, "keys": [ { "name": "press-room", "file": "press-room.pub.pem" } ] }""");
        File.Copy(Path.Combine(shop.Home, ".config/recipes/keys/press-room.pub.pem"), shop.At("house/press-room.pub.pem"));
        shop.Environment["RECIPES_HOUSE"] = shop.At("house");
        string[] commit = ["commit", "mine.csx", "ring.png", "--setup", "light-garment"];
        shop.Json("dry-run", "mine.csx", "ring.png", "--setup", "light-garment").ShouldExit(0);
        var before = shop.Snapshot();
        shop.Json(commit).ShouldFail(8, "R6102");
        shop.Json([.. commit, "--again", "--guard", "added-ink=allow"]).ShouldFail(8, "R6102");
        shop.Json("commit", "--dry-run", "ring.png.dry-run").ShouldFail(8, "R6102");
        shop.Json("run", "mine.csx", "ring.png", "-o", "out", "--force", "--setup", "light-garment").ShouldFail(8, "R6102");
        shop.Snapshot().ShouldBe(before);

        var approved = shop.Json("approve", "mine.csx", "--by", "Mara").ShouldExit(0).Json;
        ((string)approved["approval"]!["state"]!).ShouldBe("approved");
        ((string)approved["approval"]!["cases"]!).ShouldBe("none");
        shop.Json("commit", "--dry-run", "ring.png.dry-run").ShouldExit(0);
        shop.Write("mine.csx", Mine + " ");
        shop.Json(commit).ShouldFail(8, "R6103");
        ((string)shop.Json("show", "mine.csx").ShouldExit(0).Json["recipe"]!["approval"]!["state"]!).ShouldBe("void");
        // A list is approved as one, with what its recipes are now.
        shop.Write("evening.recipes", "recipes-list 1\nmine\nclean-background\n");
        string[] commitList = ["commit", "evening.recipes", "ring.png", "--again"];
        shop.Json(commitList).ShouldFail(8, "R6103");
        var list = shop.Json("approve", "evening.recipes", "--by", "Mara").ShouldExit(0).Json;
        ((string?)list["outputs"]!["file"], (string?)list["approval"]!["state"]).ShouldBe(("evening.recipes.lock", "approved"));
        shop.Json(commitList).ShouldExit(0);
        // What came with the program needs none, and a house that can't be read keeps nothing.
        shop.Json("commit", "clean-background", "ring.png").ShouldExit(0);
        shop.Write("house/house.json", "{}");
        shop.Json(commit).ShouldFail(8, "R6105");
        // To look at one keeps nothing.
        var shown = shop.Json("show", "mine.csx").ShouldExit(0);
        ((string)shown.Json["recipe"]!["approval"]!["state"]!).ShouldBe("unknown");
        shown.Codes.ShouldBe(["R6105"]);
    }

    [Fact]
    public void What_a_revoked_key_signed_is_kept_no_more()
    {
        shop.Write("mine.csx", Mine);
        shop.Json("keys", "new", "press-room").ShouldExit(0);
        Directory.CreateDirectory(shop.At("house"));
        File.Copy(Path.Combine(shop.Home, ".config/recipes/keys/press-room.pub.pem"), shop.At("house/press-room.pub.pem"));
        shop.Environment["RECIPES_HOUSE"] = shop.At("house");
        House("");
        shop.Json("approve", "mine.csx", "--by", "Mara").ShouldExit(0);
        string[] run = ["run", "mine.csx", "ring.png", "-o", "out", "--setup", "light-garment"];
        shop.Json(run).ShouldExit(0);
        House(", \"revoked\": \"2026-01-02\"");
        var before = shop.Snapshot();
        shop.Json(run).ShouldFail(8, "R6103").Out.ShouldContain("revoked on 2026-01-02");
        shop.Json("commit", "mine.csx", "ring.png", "--setup", "light-garment").ShouldFail(8, "R6103");
        shop.Snapshot().ShouldBe(before);

        void House(string more) => shop.Write("house/house.json", $$"""{ "house": 1, "requireApproval": true, "keys": [ { "name": "press-room", "file": "press-room.pub.pem"{{more}} } ] }""");
    }

    [Fact]
    public void A_pack_takes_a_recipe_to_another_machine_and_an_update_tells_what_changed()
    {
        shop.Write("shelf/mine.csx", Mine);
        shop.Json("pack", "shelf/mine.csx", "-o", "harbor.pack").ShouldExit(0);
        shop.Json("add", "harbor.pack", "--show").ShouldExit(0);
        Directory.Exists(Path.Combine(shop.Home, ".local/share/recipes/recipes")).ShouldBeFalse();
        shop.Run("add", "harbor.pack").ShouldExit(0).Out.ShouldContain("mine, version 1: new");

        shop.Write("shelf/mine.csx", Mine + "Recipe.Version(2);\n");
        shop.Json("pack", "shelf/mine.csx", "-o", "harbor.pack").ShouldFail(9, "R8001");
        shop.Json("pack", "shelf/mine.csx", "-o", "harbor.pack", "--force").ShouldExit(0);
        var update = shop.Run("update").ShouldExit(0).Out;
        update.ShouldContain("mine, version 1 to 2: newer");
        update.ShouldContain("    + Recipe.Version(2);");
        File.AppendAllText(Path.Combine(shop.Home, ".local/share/recipes/recipes/mine/mine.csx"), "// tonight\n");
        var conflict = shop.Json("add", "--from", "shelf").ShouldFail(7, "R6203");
        ((string)conflict.Json["recipes"]![0]!["arrival"]!).ShouldBe("changed-here");
        conflict.Out.ShouldContain("- // tonight");
        shop.Json("add", "ring.png").ShouldFail(3, "R6201");
    }
}
