using System.Text;
using System.Text.Json.Nodes;
using Recipes.Files;
using Recipes.Hosting.TestPrints;
using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Hosting.Tests;

/// <summary>The small file of a test garment: kept, read as a stranger's, locked; and files that are written together.</summary>
public sealed class TestGarmentTests : IDisposable
{
    private static readonly GarmentSetup Setup = new() { Name = "light-garment", PlatenWidth = 14, PlatenHeight = 16 };
    private readonly string folder = Directory.CreateTempSubdirectory("recipes-garment").FullName;

    public void Dispose() => Directory.Delete(folder, recursive: true);

    private string At(string name) => Path.Combine(folder, name);

    private string Write(string text)
    {
        File.WriteAllText(At("tee.json"), text, new UTF8Encoding(false));
        return At("tee.json");
    }

    [Fact]
    public void What_is_written_is_read()
    {
        var garment = TestGarment.Fresh(At("Tee-3.garment.json"), Setup) with
        {
            Pretreated = new PlatenPlace(1, 1.5, 12, 13.25),
            Used = [new UsedPlace(new PlatenPlace(2, 2, 2.1234, 3), "tee-3-1", "puffin.png"), new UsedPlace(new PlatenPlace(5, 5, 1, 1), null, null)],
        };
        garment.Name.ShouldBe("tee-3");
        AtomicFile.Write(At("tee.json"), garment.Write);
        var read = TestGarment.Read(At("tee.json")).ShouldNotBeNull();
        read.Used.ShouldBe(garment.Used);
        (read with { Used = garment.Used }).ShouldBe(garment);
        TestGarment.Read(At("none.json")).ShouldBeNull();
    }

    [Fact]
    public void The_least_that_a_person_writes_by_hand_is_enough()
    {
        var garment = TestGarment.Read(Write("""{ "schema": 1, "kind": "test-garment", "name": "tee", "platen": [14, 16], "used": [ { "place": [0, 0, 14, 6] } ] }""")).ShouldNotBeNull();
        garment.Pretreated.ShouldBeNull();
        garment.Used.ShouldBe([new UsedPlace(new PlatenPlace(0, 0, 14, 6), null, null)]);
        garment.Next.ShouldBe(1);
    }

    [Fact]
    public void Numbers_go_on_from_the_highest_that_is_printed()
    {
        var garment = TestGarment.Fresh("tee.json", Setup);
        garment.Next.ShouldBe(1);
        UsedPlace Used(string? id) => new(default, id, null);
        (garment with { Used = [Used("tee-2"), Used("tee-9"), Used("tea-20"), Used("tee-x"), Used("tee-99999999999999"), Used("tee--4"), Used(null)] }).Next.ShouldBe(10);
        // A long-lived garment counts on, and numbers so high that a full garment has none after them aren't printed ones.
        (garment with { Used = [Used("tee-1000000"), Used("tee-2147483647"), Used("tee-2147483646"), Used("tee-2147483448")] }).Next.ShouldBe(1_000_001);
        int next = (garment with { Used = [Used("tee-2147483447")] }).Next;
        Should.NotThrow(() => checked(next + (TestGarment.MostUsed - 1))).ShouldBe(int.MaxValue);
    }

    public static TheoryData<string> Hostile =>
    [
        "", "no", "[]", "{}", "{\"kind\":\"test-garment\"}",
        With("schema", "2"), With("schema", "\"1\""), With("schema", "null"), With("kind", "\"match\""),
        With("name", "null"), With("name", "\"../tee\""), With("name", "\"Tee\""), With("name", "\"a23456789012345678901234x\""), With("name", "7"),
        With("platen", "null"), With("platen", "[14]"), With("platen", "[0, 16]"), With("platen", "[14, 1e300]"), With("platen", "[14, -1]"), With("platen", "{}"), With("platen", "[\"14\", 16]"),
        With("pretreated", "[1,2,3]"), With("pretreated", "[1,2,3,-4]"), With("pretreated", "\"all\""),
        With("used", "{}"), With("used", "[7]"), With("used", "[{}]"), With("used", "[{\"place\":[0,0,1,1],\"stray\":1}]"), With("used", "[{\"place\":[0,0,1,101]}]"),
        With("used", "[{\"place\":[0,0,1,1],\"id\":7}]"), With("used", $"[{{\"place\":[0,0,1,1],\"note\":\"{new string('x', 201)}\"}}]"),
        With("used", "[" + string.Join(',', Enumerable.Repeat("{\"place\":[0,0,1,1]}", TestGarment.MostUsed + 1)) + "]"),
        With("stray", "1"), With("used", new string('[', 1000)), With("name", "\"a\",\"name\":\"b\""), With("name", "\"" + new string('x', 200_000) + "\""),
    ];

    private static string With(string field, string json)
    {
        var fields = new Dictionary<string, string> { ["schema"] = "1", ["kind"] = "\"test-garment\"", ["name"] = "\"tee\"", ["platen"] = "[14,16]", ["used"] = "[]", [field] = json };
        return "{" + string.Join(',', fields.Select(pair => $"\"{pair.Key}\":{pair.Value}")) + "}";
    }

    [Theory]
    [MemberData(nameof(Hostile))]
    public void A_bad_file_is_refused_with_a_sentence(string text)
    {
        var problem = Should.Throw<ProblemException>(() => TestGarment.Read(Write(text))).Problems[0];
        problem.Code.ShouldBe(Codes.BadTestGarment);
        problem.Message.Length.ShouldBeLessThan(300);
        problem.Where!.File.ShouldBe(At("tee.json"));
    }

    [Fact]
    public void The_base_of_the_bad_files_is_good() => TestGarment.Read(Write(With("used", "null"))).ShouldNotBeNull();

    [Fact]
    public void A_folder_or_a_name_that_is_none_is_refused()
    {
        Should.Throw<ProblemException>(() => TestGarment.Read(folder)).Problems[0].Code.ShouldBe(Codes.BadTestGarment);
        foreach (string name in (string[])["Tee 3.json", ".json", "a23456789012345678901234x.json"])
        {
            Should.Throw<ProblemException>(() => TestGarment.Fresh(At(name), Setup)).Problems[0].Code.ShouldBe(Codes.BadTestGarment);
        }
    }

    [Fact]
    public void Places_grow_outward_and_shrink_inward()
    {
        // 1 px of 300 is 0.00333 in.
        PlatenPlace.Around(new Box(1, 300, 299, 1), 300).ShouldBe(new PlatenPlace(0.0033, 1, 0.9967, 0.0034));
        var place = new PlatenPlace(1, 2, 3, 4);
        place.Outside(300, 0.5).ShouldBe(new Box(150, 450, 1200, 1500));
        place.Inside(300, 0.5).ShouldBe(new Box(450, 750, 600, 900));
        place.Inside(300, 2).IsEmpty.ShouldBeTrue();
        new PlatenPlace(0.001, 0.001, 1, 1).Outside(100, 0).ShouldBe(new Box(0, 0, 101, 101));
        // Out and back is never smaller, at any resolution.
        foreach (double ppi in (double[])[72, 96.5, 150, 300, 720])
        {
            var box = new Box(17, 33, 101, 57);
            PlatenPlace.Around(box, ppi).Outside(ppi, 0).Within(box).ShouldBe(box);
        }
    }

    [Fact]
    public void One_holds_a_garment_and_the_other_is_told()
    {
        using (TestGarment.Hold(At("tee.json")).ShouldNotBeNull())
        {
            Should.Throw<ProblemException>(() => TestGarment.Hold(At("tee.json"))).Problems[0].Code.ShouldBe(Codes.TestGarmentInUse);
            TestGarment.Hold(At("other.json")).ShouldNotBeNull().Dispose();
        }

        TestGarment.Hold(At("tee.json")).ShouldNotBeNull().Dispose();
        Directory.EnumerateFileSystemEntries(folder).ShouldBeEmpty();
        TestGarment.Hold(At("no-folder/tee.json")).ShouldBeNull();
    }

    [Fact]
    public void Files_that_belong_together_are_written_all_or_not_at_all()
    {
        Action<Stream> Text(string text) => stream => stream.Write(Encoding.UTF8.GetBytes(text));
        File.WriteAllText(At("a"), "before");
        // The last can't take the place of a folder: the first is as before, the second isn't there.
        Directory.CreateDirectory(At("c"));
        Should.Throw<ProblemException>(() => AtomicFile.WriteAll((At("a"), Text("after"), true), (At("b"), Text("after"), true), (At("c"), Text("after"), true)))
            .Problems[0].Code.ShouldBe(Codes.OutputUnwritable);
        File.ReadAllText(At("a")).ShouldBe("before");
        Directory.EnumerateFileSystemEntries(folder).Select(Path.GetFileName).ShouldBe(["a", "c"], ignoreOrder: true);

        // One that exists and may not be replaced.
        Should.Throw<ProblemException>(() => AtomicFile.WriteAll((At("b"), Text("after"), true), (At("a"), Text("after"), false))).Problems[0].Code.ShouldBe(Codes.OutputExists);
        // A failure while the content is made.
        Should.Throw<ProblemException>(() => AtomicFile.WriteAll((At("a"), Text("after"), true), (At("b"), _ => throw new IOException("full"), true))).Problems[0].Code.ShouldBe(Codes.OutputUnwritable);
        Should.Throw<OperationCanceledException>(() => AtomicFile.WriteAll((At("a"), Text("after"), true), (At("b"), _ => throw new OperationCanceledException(), true)));
        File.ReadAllText(At("a")).ShouldBe("before");
        Directory.EnumerateFileSystemEntries(folder).Select(Path.GetFileName).ShouldBe(["a", "c"], ignoreOrder: true);

        AtomicFile.WriteAll((At("a"), Text("after"), true), (At("b"), Text("new"), false));
        File.ReadAllText(At("a")).ShouldBe("after");
        File.ReadAllText(At("b")).ShouldBe("new");
        Directory.EnumerateFileSystemEntries(folder).Count().ShouldBe(3);
    }
}
