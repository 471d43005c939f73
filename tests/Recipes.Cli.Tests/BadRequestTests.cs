namespace Recipes.Cli.Tests;

/// <summary>Requests that can't be met: each with its code, a near name where there is one, and nothing changed.</summary>
public sealed class BadRequestTests : IDisposable
{
    private readonly Shop shop = new();

    public void Dispose() => shop.Dispose();

    [Theory]
    [InlineData("commit printable-white ring.png --setup light-garment", 2, "R1002", "'printable-whites'")]
    [InlineData("commit printable-whites ring.png --setup light-garmet", 2, "R1006", "'light-garment'")]
    [InlineData("commit printable-whites ring.png --setup light-garment --set smalest=1px", 2, "R1004", "'smallest'")]
    [InlineData("commit printable-whites ring.png --setup light-garment --guard lost-to-whte=allow", 2, "R1010", "'lost-to-white'")]
    [InlineData("comit printable-whites ring.png", 2, "R1001", "'commit'")]
    [InlineData("commit printable-whites ring.png --gaurd lost-to-white=allow", 2, "R1001", "'--guard'")]
    [InlineData("commit fit-to-platen ring.png --setup light-garment --set width=5", 2, "R1005", "--set width=100mm")]
    [InlineData("commit printable-whites ring.png --setup light-garment --set near=300", 2, "R1005", "near")]
    [InlineData("commit printable-whites ring.png --setup light-garment --set near=-1", 2, "R1005", "near")]
    [InlineData("commit printable-whites ring.png --setup light-garment --set near=1.5", 2, "R1005", "near")]
    [InlineData("commit printable-whites ring.png --setup light-garment --set smallest=3in", 2, "R1005", "mm2")]
    [InlineData("commit printable-whites ring.png --setup light-garment --set smallest=3", 2, "R1005", "mm2")]
    [InlineData("commit clean-background ring.png --setup light-garment --set ring=3mm2", 2, "R1005", "mm")]
    [InlineData("commit printable-whites ring.png --setup light-garment --set where=inside", 2, "R1005", "enclosed")]
    [InlineData("commit printable-whites ring.png --setup light-garment --set only=0", 2, "R1005", "only")]
    [InlineData("commit printable-whites ring.png --setup light-garment --set near", 2, "R1005", "near=")]
    [InlineData("commit printable-whites ring.png --setup light-garment --set near=", 2, "R1011", "near=")]
    [InlineData("commit printable-whites ring.png --setup light-garment --set near=8 --set near=9", 2, "R1005", "once")]
    [InlineData("commit printable-whites ring.png --setup light-garment --set only=99", 5, "R4002", "99")]
    [InlineData("commit printable-whites ring.png --setup light-garment --time-limit 0", 2, "R1001", "--time-limit")]
    [InlineData("commit printable-whites ring.png --setup light-garment --time-limit soon", 2, "R1001", "--time-limit")]
    [InlineData("commit printable-whites ring.png --setup light-garment --memory-limit 5", 2, "R1001", "--memory-limit")]
    [InlineData("commit printable-whites ring.png --setup light-garment --guard printed-box=protect", 2, "R1010", "printed-box")]
    [InlineData("commit printable-whites ring.png --setup light-garment --guard lost-to-white", 2, "R1010", "lost-to-white")]
    [InlineData("commit printable-whites ring.png --setup light-garment --recipes nowhere", 2, "R1001", "nowhere")]
    [InlineData("commit printable-whites ring.png", 2, "R1008", "--setup")]
    [InlineData("commit printable-whites", 2, "R1001", "ART")]
    [InlineData("run printable-whites ring.png -o out", 2, "R1008", "--setup")]
    [InlineData("export ring.png -o out.png", 2, "R1008", "--setup")]
    [InlineData("export ring.png -o out.jpg --setup light-garment", 2, "R1001", ".png")]
    [InlineData("export ring.png --setup light-garment", 2, "R1001", "--output")]
    [InlineData("commit --dry-run nowhere", 2, "R6006", "nowhere")]
    [InlineData("undo ring.png --setup light-garment", 7, "R6004", "undo")]
    [InlineData("redo ring.png --setup light-garment", 7, "R6005", "redo")]
    [InlineData("setups show black-garmet", 2, "R1006", "'black-garment'")]
    [InlineData("setups use black-garmet", 2, "R1006", "'black-garment'")]
    [InlineData("completion tcsh", 2, "R1001", "bash")]
    [InlineData("show pure-blak", 2, "R1002", "'pure-black'")]
    [InlineData("", 2, "R1001", "--help")]
    [InlineData("pure-black ring.png", 2, "R1001", "'pure-black' is a recipe, not a command. Try it with: recipes dry-run pure-black ring.png")]
    [InlineData("house-default", 2, "R1001", "Try it with: recipes dry-run house-default ART")]
    public void A_request_that_cannot_be_met_says_why(string command, int exit, string code, string says)
    {
        Picture.WriteRing(shop.At("ring.png"));
        var before = shop.Snapshot();
        var problem = shop.Json(command.Split(' ', StringSplitOptions.RemoveEmptyEntries)).ShouldFail(exit, code).Json["problems"]![0]!;
        $"{problem["message"]} {problem["hint"]}".ShouldContain(says);
        shop.Snapshot().ShouldBe(before);
    }

    [Fact]
    public void The_bare_name_shows_the_commands_and_is_no_success()
    {
        var bare = shop.Run().ShouldExit(2);
        bare.ShouldBe(shop.Run("--help").ShouldExit(0) with { Exit = 2 });
        bare.Out.ShouldContain("dry-run <RECIPE> <ART>");
    }

    [Theory]
    [InlineData("""{ "platen": { "width": 14, "height": 16 }, "garmnet": "#000000" }""", "'garment'")]
    [InlineData("""{ "platen": { "width": 14, "height": 16 }, "garment": "black" }""", "garment")]
    [InlineData("""{ "platen": { "width": 14 } }""", "platen.height")]
    [InlineData("""{ "garment": "#000000" }""", "platen")]
    [InlineData("""{ "platen": { "width": 14, "height": 16 }, "brightestWhite": "#ffffff" }""", "brightestWhite")]
    [InlineData("""{ "platen": { "width": 14, "height": 16 }, "bare": { "transparent": false }, "bareAs": "transparent" }""", "bareAs")]
    [InlineData("""{ "platen": { "width": 14, "height": 16 } """, "JSON")]
    [InlineData("[]", "object")]
    public void A_setup_with_a_wrong_field_says_which(string json, string says)
    {
        Picture.WriteRing(shop.At("ring.png"));
        shop.Write("shop.json", json);
        var problem = shop.Json("commit", "printable-whites", "ring.png", "--setup", "shop.json").ShouldFail(2, "R1007").Json["problems"]![0]!;
        $"{problem["message"]} {problem["hint"]}".ShouldContain(says);
        ((string)problem["where"]!["file"]!).ShouldBe("shop.json");
        File.Exists(shop.At("ring.png.work")).ShouldBeFalse();
    }

    [Fact]
    public void One_recipe_name_in_two_places_is_shown_with_both()
    {
        Picture.WriteRing(shop.At("ring.png"));
        const string text = "Recipe.Title(\"Mine\");\nRecipe.Purpose(\"Mine.\");\n";
        shop.Write("mine/pure-black.csx", text);
        shop.Write("mine/only-mine.csx", text);
        string message = (string)shop.Json("dry-run", "pure-black", "ring.png", "--recipes", "mine").ShouldFail(2, "R1003").Json["problems"]![0]!["message"]!;
        message.ShouldContain(Path.Combine("mine", "pure-black.csx"));
        message.ShouldContain(Path.Combine("share", "recipes", "pure-black.csx"));
        // By its path, either is unmistakable; and the folder can come from three places.
        shop.Json("show", "mine/pure-black.csx").ShouldExit(0);
        shop.Json("show", "only-mine").ShouldFail(2, "R1002");
        shop.Json("show", "only-mine", "--recipes", "mine").ShouldExit(0);
        shop.Environment["RECIPES_PATH"] = "mine";
        ((string)shop.Json("show", "only-mine").ShouldExit(0).Json["recipe"]!["title"]!).ShouldBe("Mine");
        shop.Environment.Remove("RECIPES_PATH");
        Directory.CreateDirectory(Path.Combine(shop.Home, ".local/share/recipes/recipes"));
        File.Copy(shop.At("mine/only-mine.csx"), Path.Combine(shop.Home, ".local/share/recipes/recipes/only-mine.csx"));
        shop.Json("list").ShouldExit(0).Json["recipes"]!.AsArray().Select(recipe => (string)recipe!["name"]!).ShouldContain("only-mine");
        shop.Json("show", "only-mine").ShouldExit(0);
    }
}
