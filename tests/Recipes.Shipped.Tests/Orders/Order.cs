using Recipes.Imaging;

namespace Recipes.Shipped.Tests.Orders;

/// <summary>An order: a drawing, how it came, and the garment that it is for.</summary>
internal sealed record Order(Scene Scene, Delivery Delivery, GarmentSetup Setup, Kinds Kinds)
{
    /// <summary>Every order states it.</summary>
    public const double Ppi = 300;

    public string Name => $"{Scene.Name}.{Delivery.Name}.{Setup.Name.Replace("-garment", "", StringComparison.Ordinal)}";

    public Received Receive() => Delivery.Send(Scene.Rendering);

    public Truth TruthOf(Received received) => Truth.Of(received, Delivery.OnPaper, Kinds, Setup);

    public override string ToString() => Name;
}
