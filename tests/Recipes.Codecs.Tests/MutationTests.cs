using Recipes.Problems;

namespace Recipes.Codecs.Tests;

/// <summary>Damaged files end in pixels or in a problem, never in another exception. Time is the host's to limit.</summary>
public class MutationTests
{
    private const int Each = 80;

    [Fact]
    public void Mutated_files_end_in_pixels_or_a_problem()
    {
        Oracle.Require();
        byte[][] seeds = Mutation.Seeds();
        string[] allowed = ["R3003", "R3004", "R3005", "R3006", "R3007"];
        int decoded = 0, refused = 0;
        foreach (byte[] seed in seeds)
        {
            var random = new Random(20261125);
            for (int i = 0; i < Each; i++)
            {
                byte[] file = Mutation.Of(seed, random);
                try
                {
                    var art = Oracle.Decode(file);
                    art.Pixels.Tiles.Length.ShouldBeGreaterThan(0);
                    decoded++;
                }
                catch (ProblemException e)
                {
                    allowed.ShouldContain(e.Problems[0].Code.Id);
                    refused++;
                }
            }
        }

        (decoded + refused).ShouldBe(Each * seeds.Length);
        decoded.ShouldBeGreaterThan(0, "some mutations must reach the pixel decoders");
        refused.ShouldBeGreaterThan(0);
    }
}
