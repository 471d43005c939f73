namespace Recipes.Imaging.Charts;

/// <summary>Predicts what a printer lays down, from a measured chart.</summary>
public interface IPrinterModel
{
    /// <summary>The predicted color under D50. Trustworthy between the chart's smallest and largest levels alone.</summary>
    Lab Predict(Rgb color);
}
