using System.Text;
using Recipes.Hosting.Charts;
using Recipes.Hosting.Journals;
using Recipes.Hosting.Orders;
using Recipes.Hosting.Packs;
using Recipes.Hosting.Tests.Sharing;
using Recipes.Hosting.Tests.Work;
using Recipes.Hosting.Trust;
using Recipes.Problems;
using Recipes.Tests;
using Recipes.Work;

namespace Recipes.Hosting.Tests;

/// <summary>
/// Files from strangers that the host reads itself, each mutated by a seed: it is read, or refused with a problem of ours, and never a fault. Some hundred
/// each time; 10,000 of each kind with RECIPES_FUZZ=all.
/// </summary>
public sealed class OutsideFuzzTests : IDisposable
{
    private static readonly int Rounds = Environment.GetEnvironmentVariable("RECIPES_FUZZ") == "all" ? 10_000 : 300;
    private readonly string folder = Directory.CreateTempSubdirectory("recipes-fuzz-").FullName;

    private string At(string name) => Path.Combine(folder, name);

    public void Dispose() => Directory.Delete(folder, recursive: true);

    [Fact]
    public void Work_files()
    {
        string good = At("good.work"), bad = At("bad.work");
        using (var work = WorkFile.Create(good, Sample.Original, Sample.Noise(0, 60, 40)))
        {
            work.Commit("black-garment", 0, Sample.Record(), Sample.Noise(1, 60, 40));
            work.Commit("black-garment", 1, Sample.Record("clean-background"), Sample.Noise(2, 60, 40));
            work.RecordPrint("black-garment", Sample.Print(2));
        }

        Fuzz(File.ReadAllBytes(good), ExitCode.Art, bytes =>
        {
            File.WriteAllBytes(bad, bytes);
            using var work = WorkFile.Open(bad);
            work.ShouldNotBeNull().ReadOriginalBytes();
            foreach (string setup in work.Setups)
            {
                var line = work.Line(setup);
                foreach (int step in line.Steps.Select(step => step.Number).Append(0))
                {
                    _ = work.Read(setup, step).PixelCount;
                }
            }
        });
    }

    [Fact]
    public void Packs()
    {
        using var bench = new Bench();
        byte[] good = RecipePack.Write([PackedRecipe.Collect(bench.Source())]);
        Fuzz(good, ExitCode.Art, bytes => RecipePack.Parse(bytes, "harbor.pack"));
    }

    [Fact]
    public void Lock_files()
    {
        using var bench = new Bench();
        bench.Approve();
        Fuzz(File.ReadAllBytes(bench.Lock), ExitCode.NotApproved, bytes => RecipeLock.Parse(Encoding.UTF8.GetString(bytes), "sail-check.lock"));
    }

    [Fact]
    public void Journals()
    {
        string journal = At("journal.jsonl");
        var entry = new JournalEntry
        {
            At = Sample.Noon, Act = JournalAct.Commit, By = "Ada",
            Recipe = new JournalRecipe("printable-whites", 2, new string('a', 64)), Recipes = ["printable-whites"],
            Art = new JournalFile("harbor-run.png", new string('b', 64)), Setup = "black-garment", Step = 1, Note = "whites are dense",
        };
        Journal.Append(journal, [entry, entry with { Step = 2, By = null }, entry with { Act = JournalAct.Undo }], TimeSpan.FromSeconds(10));
        Fuzz(File.ReadAllBytes(journal), ExitCode.Art, bytes =>
        {
            File.WriteAllBytes(journal, bytes);
            var read = Journal.Read(journal, _ => true);
            // A damaged line is told and left out, and the rest is used.
            _ = read.Damaged.Length > 0 ? throw new ProblemException(read.Damaged[0]) : 0;
        }, anyExit: true);
    }

    [Fact]
    public void Charts()
    {
        string chart = At("chart.txt");
        const string text = """
            CGATS.17
            ORIGINATOR "harbor fun run"
            NUMBER_OF_FIELDS 7
            BEGIN_DATA_FORMAT
            SAMPLE_ID RGB_R RGB_G RGB_B LAB_L LAB_A LAB_B
            END_DATA_FORMAT
            NUMBER_OF_SETS 3
            BEGIN_DATA
            1 255 255 255 95.1 -0.2 1.5
            2 200 16 46 44.2 64.1 31.5
            3 10 20 60 12.0 8.5 -30.25
            END_DATA
            """;
        Fuzz(Encoding.UTF8.GetBytes(text), ExitCode.Art, bytes =>
        {
            File.WriteAllBytes(chart, bytes);
            _ = ReadChart.Read(chart).Readings;
        }, anyExit: true);
    }

    [Fact]
    public void Order_lists()
    {
        string list = At("orders.csv");
        const string text = "art,recipe,setup,quantity,label,output\npuffin.png,printable-whites,light-garment,12,\"Puffin, white\",puffin-a\n"
            + "sail.png,clean-background,black-garment,3,\"The \"\"sail\"\"\",\n";
        Fuzz(Encoding.UTF8.GetBytes(text), ExitCode.Art, bytes =>
        {
            File.WriteAllBytes(list, bytes);
            var (_, problems) = OrderList.Read(list);
            _ = problems.IsEmpty ? 0 : throw new ProblemException(problems);
        }, anyExit: true);
    }

    // The file itself reads well; of the mutations some do.
    private static void Fuzz(byte[] good, ExitCode refusal, Action<byte[]> read, bool anyExit = false)
    {
        read(good);
        var random = new Random(20261130);
        int taken = 0, refused = 0;
        for (int i = 0; i < Rounds; i++)
        {
            var bytes = good.ToList();
            for (int n = random.Next(1, 5); n > 0 && bytes.Count > 0; n--)
            {
                Damage.Do(bytes, random.Next(bytes.Count), 700, random);
            }

            try
            {
                read([.. bytes]);
                taken++;
            }
            catch (ProblemException e)
            {
                e.Problems.ShouldAllBe(problem => problem.Code.Exit != ExitCode.Fault && problem.Hint.Length > 0);
                (anyExit || e.Problems[0].Code.Exit == refusal).ShouldBeTrue($"round {i}: {e.Problems[0]}");
                refused++;
            }
            catch (Exception e) when (e is not ShouldAssertException)
            {
                throw new InvalidOperationException($"Round {i} of seed 20261130 is a fault: {e.GetType()}: {e.Message}", e);
            }
        }

        TestContext.Current.SendDiagnosticMessage($"{TestContext.Current.TestMethod?.MethodName}: {taken} read, {refused} refused");
        (taken + refused).ShouldBe(Rounds);
        refused.ShouldBeGreaterThan(Rounds / 4);
    }
}
