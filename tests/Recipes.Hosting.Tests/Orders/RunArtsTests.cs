using Recipes.Files;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Orders;
using Recipes.Hosting.Tests.Work;
using Recipes.Problems;
using Recipes.Work;

namespace Recipes.Hosting.Tests.Orders;

/// <summary>Which files of a folder are arts, and what their results are called.</summary>
public sealed class RunArtsTests : IDisposable
{
    private readonly string folder = Directory.CreateTempSubdirectory("recipes-arts-").FullName;

    public void Dispose() => Directory.Delete(folder, recursive: true);

    private string Put(string name, string text = "art")
    {
        string path = Path.Combine(folder, name);
        Directory.CreateDirectory(Path.GetDirectoryName(path)!);
        File.WriteAllText(path, text);
        return path;
    }

    private static IEnumerable<string?> Names(IEnumerable<string> paths) => paths.Select(path => Path.GetFileName(path));

    [Fact]
    public void A_folder_gives_its_pictures_by_name_and_no_other_file()
    {
        string[] names = ["b.png", "a.PNG", "c.jpeg", "d.jpg", "e.tif", "f.tiff", "g.webp", "h.ora", "B2.png"];
        foreach (string name in (string[])[.. names, ".hidden.png", "notes.txt", "b.json", "b.png.work-new", "b.png.dry-run/after.png", "deeper/i.png"])
        {
            Put(name);
        }

        var found = RunArts.Of([folder], null);
        // By the characters' numbers (Unicode, Basic Latin): capitals come first.
        Names(found.Arts).ShouldBe(["B2.png", "a.PNG", "b.png", "c.jpeg", "d.jpg", "e.tif", "f.tiff", "g.webp", "h.ora"]);
        found.Skipped.ShouldBeEmpty();
        // A file that is named beside its folder is run once; one that doesn't exist is told later, for itself.
        Names(RunArts.Of([Path.Combine(folder, "c.jpeg"), folder, Path.Combine(folder, "deeper"), "nothing.png"], null).Arts)
            .ShouldBe(["c.jpeg", "B2.png", "a.PNG", "b.png", "d.jpg", "e.tif", "f.tiff", "g.webp", "h.ora", "i.png", "nothing.png"]);
    }

    [Fact]
    public void What_this_program_wrote_is_no_art()
    {
        Put("art.png");
        Put("done.png");
        Put("done.json", """{ "command": "run", "outputs": { "file": "out/done.png" } }""");
        Put("other.png");
        Put("other.json", """{ "command": "run", "outputs": { "file": "out/done.png" } }""");
        Put("tried.png");
        Put("tried.json", """{ "command": "dry-run", "outputs": { "file": "tried.png" } }""");
        var found = RunArts.Of([folder], null);
        Names(found.Skipped).ShouldBe(["done.png"]);
        Names(found.Arts).ShouldBe(["art.png", "other.png", "tried.png"]);
        // Somebody works on it: it is an art again.
        Put("done.png.work", "no work file");
        found = RunArts.Of([folder], null);
        Names(found.Arts).ShouldBe(["art.png", "done.png", "other.png", "tried.png"]);
        // Which exports it remembers can't be told, and that is said.
        found.LeftOut.ShouldHaveSingleItem().ShouldSatisfyAllConditions(
            problem => problem.Severity.ShouldBe(Severity.Warning), problem => problem.Message.ShouldStartWith("Left out: "));
    }

    [Fact]
    public void An_export_with_a_name_that_no_file_can_have_is_damage()
    {
        string art = Put("art.png");
        using (var work = WorkFile.Create(WorkPath.Of(art, null), Sample.Original, Sample.Noise(1)))
        {
            work.RecordExport("light-garment", new ExportRecord("a\0b.png", new string('a', 64), 0, DateTimeOffset.UnixEpoch));
        }

        RunArts.Of([folder], null).LeftOut.ShouldHaveSingleItem().Code.ShouldBe(Codes.DamagedWorkFile);
        Should.Throw<ProblemException>(() => RunArts.Of([""], null)).Problems[0].Code.ShouldBe(Codes.ArtMissing);
    }

    [Fact]
    public void An_export_is_no_art_until_somebody_changes_it()
    {
        string art = Put("art.png"), print = Put("print.png", "exported");
        using (var work = WorkFile.Create(WorkPath.Of(art, null), Sample.Original, Sample.Noise(1)))
        {
            work.RecordExport("light-garment", new ExportRecord("print.png", OutsideFile.Sha256(print), 0, DateTimeOffset.UnixEpoch));
            OwnExports.Hold(work, "light-garment", art, print).ShouldBeTrue();
            // Another setup's is another print; what isn't there is nobody's.
            OwnExports.Hold(work, "black-garment", art, print).ShouldBeFalse();
            OwnExports.Hold(work, "light-garment", art, Path.Combine(folder, "none.png")).ShouldBeFalse();
            OwnExports.Hold(null, "light-garment", art, print).ShouldBeFalse();
        }

        Names(RunArts.Of([folder], null).Skipped).ShouldBe(["print.png"]);
        File.WriteAllText(print, "retouched");
        Names(RunArts.Of([folder], null).Arts).ShouldBe(["art.png", "print.png"]);
        using (var work = WorkFile.Open(WorkPath.Of(art, null)))
        {
            OwnExports.Hold(work, "light-garment", art, print).ShouldBeFalse();
        }
    }

    [Fact]
    public void A_ticket_s_color_strip_is_no_art()
    {
        Put("sail.png");
        Put("sail-ticket.html", "<!DOCTYPE html><html><head><title>Ticket: sail.png</title></head></html>");
        Put("sail-ticket-strip.png");
        // Named alike, and nobody's ticket.
        Put("film.html", "<!DOCTYPE html><html><head><title>A film</title></head></html>");
        Put("film-strip.png");
        Names(RunArts.Of([folder], null).Arts).ShouldBe(["film-strip.png", "sail.png"]);
    }

    [Fact]
    public void A_folder_of_nothing_is_told()
    {
        Should.Throw<ProblemException>(() => RunArts.Of([folder], null)).Problems[0].Code.ShouldBe(Codes.BadUsage);
        Put("done.png");
        Put("done.json", """{ "command": "run", "outputs": { "file": "done.png" } }""");
        Should.Throw<ProblemException>(() => RunArts.Of([folder], null)).Message.ShouldContain("but what this program wrote");
    }

    [Theory]
    [InlineData("puffin.png mail/sail.jpg", "puffin sail")]
    [InlineData("kids.jpg kids.png sail.png", "kids.jpg kids.png sail")]
    [InlineData("Kids.jpg mail/kids.png", "Kids.jpg kids.png")]
    // A whole name meets a stem.
    [InlineData("a.png a.jpg a.png.jpg", "a.png a.jpg a.png.jpg")]
    public void Where_stems_meet_whole_names_are_taken(string arts, string stems) => RunArts.Stems(arts.Split(' ')).ShouldBe(stems.Split(' '));

    [Fact]
    public void Equal_names_are_refused() =>
        Should.Throw<ProblemException>(() => RunArts.Stems(["a/ring.png", "ring.jpg", "b/Ring.png"])).Problems[0].Code.ShouldBe(Codes.SameOutput);
}
